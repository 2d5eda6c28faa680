"""Child processes that are started together and end together."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

SECONDS_TO_END = 5.0


@dataclass(frozen=True)
class Child:
    """A running program with what it is called in a sentence."""

    name: str
    process: subprocess.Popen[bytes]

    @property
    def is_over(self) -> bool:
        return self.process.poll() is not None


def start(name: str, command: Sequence[str], *, folder: Path, environment: Mapping[str, str]) -> Child:
    """Start a child in a process group of its own, so that Ctrl-C reaches only the parent, which then
    ends the child with all that it started."""
    process = subprocess.Popen(command, cwd=folder, env=dict(environment), start_new_session=True)  # noqa: S603
    return Child(name, process)


def _signal_group(child: Child, number: signal.Signals) -> None:
    with suppress(ProcessLookupError, PermissionError):
        os.killpg(child.process.pid, number)


def end(children: Iterable[Child], *, patience: float = SECONDS_TO_END) -> None:
    """Ask every child to end (TERM), wait together up to `patience` seconds, then end what is left (KILL)."""
    children = list(children)
    for child in children:
        _signal_group(child, signal.SIGTERM)
    deadline = time.monotonic() + patience
    for child in children:
        with suppress(subprocess.TimeoutExpired):
            child.process.wait(max(0.0, deadline - time.monotonic()))
        # Also after a quiet end: something it started may have outlived it.
        _signal_group(child, signal.SIGKILL)
        child.process.wait()


def first_over(children: Sequence[Child], stop: threading.Event) -> Child | None:
    """Wait until a child is over, and give it; None where `stop` was set first."""
    while not stop.wait(0.25):
        for child in children:
            if child.is_over:
                return child
    return None


def port_is_taken(host: str, port: int) -> bool:
    """Whether another program already listens there."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return True
    return False


def answers(host: str, port: int) -> bool:
    """Whether something accepts connections there now."""
    with suppress(OSError), socket.create_connection((host, port), timeout=1):
        return True
    return False


def wait_until_answers(host: str, port: int, children: Sequence[Child], stop: threading.Event) -> bool:
    """True once the address answers; False where a child is over or `stop` was set before it did."""
    while not answers(host, port):
        if stop.wait(0.1) or any(child.is_over for child in children):
            return False
    return True
