"""Threads that search. One told to end may still be at work in the solver when its caller goes on.

A process that ends then takes the ground from under it, and aborts; so the end waits for them a little.
"""

from __future__ import annotations

import atexit
import threading
import time
from collections.abc import Callable
from weakref import WeakSet

# Searches told to end are gone within a second; on a machine that is very busy it may take longer.
LAST_SECONDS = 10.0

_started: WeakSet[threading.Thread] = WeakSet()


def begin(target: Callable[[], None], name: str) -> threading.Thread:
    """A thread at work on `target`, which does not keep the process from ending once it is told to."""
    thread = threading.Thread(target=target, name=name, daemon=True)
    _started.add(thread)
    thread.start()
    return thread


@atexit.register
def _wait_for_the_last() -> None:
    until = time.monotonic() + LAST_SECONDS
    for thread in list(_started):
        thread.join(max(0.0, until - time.monotonic()))
