"""Work in shares at once: in forked processes where that is safe, in threads elsewhere.

Numpy computes outside Python's lock, but our calls are short and handing the lock over is not:
two threads rendered 1.2 times as fast as one, two processes 1.7 times (two cores, bandwidth
shared). In our commands on Linux shares are processes; in somebody's program, where other
threads run, or on another system they are threads. The results do not depend on it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from porchswing.audio.cores.forks import Child, may_fork

T = TypeVar("T")


def run_shares(work: Callable[[int], T], shares: int) -> list[T]:
    """Run ``work(0) … work(shares - 1)`` at once; return what each returns, in order.

    Share 0 runs here. What the others change is seen here only in a file or in what they return.
    The first error of any is raised.
    """
    if shares > 1 and may_fork():
        return _run_forked(work, shares)
    return run_threads(work, shares)


def run_threads(work: Callable[[int], T], shares: int) -> list[T]:
    """Run shares as :func:`run_shares` does, always in threads: for work outside Python."""
    results: dict[int, T] = {}
    errors: list[BaseException] = []

    def guarded(share: int) -> None:
        try:
            results[share] = work(share)
        except BaseException as error:  # handed to the caller's thread below
            errors.append(error)

    others = [threading.Thread(target=guarded, args=(share,)) for share in range(1, shares)]
    for thread in others:
        thread.start()
    guarded(0)
    for thread in others:
        thread.join()
    if errors:
        raise errors[0]
    return [results[share] for share in range(shares)]


def _run_forked(work: Callable[[int], T], shares: int) -> list[T]:
    """Run every share but the first in a child process of its own."""
    children: list[Child] = []
    try:
        with suppress(OSError):  # the system grants no process
            children.extend(_child(work, share) for share in range(1, shares))
        if len(children) < shares - 1:
            return run_threads(work, shares)
        return [work(0), *(child.result() for child in children)]
    finally:
        for child in children:
            child.stop()
        for child in children:
            child.end()


def _child(work: Callable[[int], T], share: int) -> Child:
    return Child(lambda: work(share))
