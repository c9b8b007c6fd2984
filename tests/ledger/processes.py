"""Real processes for the tests: forked, so that they start in milliseconds and can be killed."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

PATIENCE_S = 60
_FORK = multiprocessing.get_context("fork")


class Child:
    """A process that runs `work(send)`; what it sends can be read here, even after its death."""

    def __init__(self, work: Callable[[Callable[[Any], None]], None]) -> None:
        self._ours, theirs = _FORK.Pipe(duplex=False)
        self._process = _FORK.Process(target=_run, args=(work, theirs), daemon=True)
        self._process.start()
        theirs.close()

    def receive(self) -> Any:
        """Wait for the next thing sent; raises EOFError after the last, and what work raised."""
        if not self._ours.poll(PATIENCE_S):
            raise TimeoutError("the process says nothing")
        said = self._ours.recv()
        if isinstance(said, BaseException):
            raise said
        return said

    def kill(self) -> list[Any]:
        """Kill it outright (SIGKILL) and return all that it had sent and was not yet read."""
        pid = self._process.pid
        assert pid is not None
        os.kill(pid, signal.SIGKILL)
        return self.rest()

    def rest(self) -> list[Any]:
        """Wait for its end and return what is left of what it sent, its exception among it."""
        left = []
        while True:
            try:
                left.append(self._ours.recv())
            except (EOFError, OSError):  # a message cut off by the kill was not sent
                break
        self._process.join()
        self._ours.close()
        return left


def apart(work: Callable[[], Any]) -> Any:
    """Run `work` in a process of its own and return, or raise, what it gives."""
    child = Child(lambda send: send(work()))
    said = child.receive()
    child.rest()
    return said


def _run(work: Callable[[Callable[[Any], None]], None], out: Connection) -> None:
    try:
        work(out.send)
    except Exception as error:
        out.send(error)
