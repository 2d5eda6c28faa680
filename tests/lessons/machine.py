"""How long the machine left a process waiting, so that a promise of time can be asked for on a busy one."""

import threading
import time
from contextlib import contextmanager

TICK = 0.02


@contextmanager
def machine_watched():
    """Gives a function: how many seconds at most, meanwhile, a thread that wants to run every 0.02 s was kept
    from it, beyond those, and how many altogether."""
    late, over = [], threading.Event()

    def tick():
        while not over.is_set():
            began = time.monotonic()
            time.sleep(TICK)
            late.append(time.monotonic() - began - TICK)

    ticking = threading.Thread(target=tick, daemon=True)
    ticking.start()
    try:
        yield lambda: (max(late, default=0.0), sum(one for one in late if one > TICK))
    finally:
        over.set()
        ticking.join()
