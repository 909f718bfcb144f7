"""Work in shares at once: in forked processes where that is safe, in threads elsewhere.

Numpy computes outside Python's lock, but our calls are short and handing the lock over is not:
two threads rendered 1.2 times as fast as one, two processes 1.7 times (two cores, bandwidth
shared). In our commands on Linux shares are processes; in somebody's program, where other
threads run, or on another system they are threads. The results do not depend on it.

A fork costs a millisecond and nothing is loaded twice. It is safe only while the process runs a
single thread (a lock held by another one would stay held in the child), and only Linux promises
that its system libraries allow it; :func:`may_fork` says whether it is.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import IO, Any, TypeVar

from porchswing.errors import OutputError

T = TypeVar("T")

_ENDED = (
    "a process of this command was ended from outside before its work was done; "
    "the system may have run out of memory"
)

LEAVE_AGAIN_S = 2.0
"""A child that was stopped and has not ended by then is stopped again."""

_SIGNALS = {signal.SIGINT, signal.SIGTERM}
"""The signals that a parent and its child answer differently."""

_TASKS = Path("/proc/self/task")
"""Where Linux lists a process' threads, those of libraries too."""


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
            children.extend(Child(partial(work, share)) for share in range(1, shares))
        if len(children) < shares - 1:
            return run_threads(work, shares)
        return [work(0), *(child.result() for child in children)]
    finally:
        for child in children:
            child.stop()
        for child in children:
            child.end()


def may_fork() -> bool:
    """Say whether this process is one that may be forked: on Linux, with a single thread."""
    return sys.platform == "linux" and sum(1 for _ in _TASKS.iterdir()) == 1


class Child:
    """A forked process in which ``work`` runs; :meth:`result` waits for what it returns.

    Whoever makes one calls :meth:`end`, which leaves no process behind, whatever it does. A child
    whose parent dies ends when it has an answer to send. Where the system grants no process,
    making one raises ``OSError``.
    """

    def __init__(self, work: Callable[[], object]) -> None:
        ours, theirs = os.pipe()
        # no signal comes between the fork and what each side makes of it
        before = signal.pthread_sigmask(signal.SIG_BLOCK, _SIGNALS)
        try:
            self._pid = os.fork()
        except OSError:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
            os.close(ours)
            os.close(theirs)
            raise
        if self._pid == 0:
            try:
                os.close(ours)
                signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
                signal.signal(signal.SIGTERM, _leave)
                signal.signal(signal.SIGALRM, _leave)
                signal.pthread_sigmask(signal.SIG_SETMASK, before)
                with os.fdopen(theirs, "wb") as outbox:
                    _send(outbox, work)
            finally:
                os._exit(0)  # past everything the parent will do at its own end
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        os.close(theirs)
        self._is_stopped = False
        self._inbox: IO[bytes] = os.fdopen(ours, "rb")

    def result(self) -> Any:
        """Wait for what the child returns, and return or raise it."""
        try:
            has_returned, value = pickle.load(self._inbox)  # noqa: S301 - from our own child
        except EOFError as error:
            raise OutputError(_ENDED) from error
        if not has_returned:
            raise value
        return value

    def stop(self) -> None:
        """Stop the process, whatever it does; it removes what it has half done.

        :meth:`end` waits until it is gone.
        """
        if not self._is_stopped:
            self._is_stopped = True
            os.kill(self._pid, signal.SIGTERM)  # not reaped yet, so the number is still its own
            with suppress(OSError):
                self._inbox.close()

    def end(self) -> None:
        """Stop the process and wait until it is gone: once, at the end."""
        self.stop()
        os.waitpid(self._pid, 0)


def _leave(*_: object) -> None:
    """End a child as an error would: what is half done is undone on the way out.

    Python drops an exception that a signal raises inside a callback of a weak reference or of its
    garbage collector; an alarm raises it again until the process is gone.
    """
    signal.setitimer(signal.ITIMER_REAL, LEAVE_AGAIN_S)
    sys.exit(143)


def _send(outbox: IO[bytes], work: Callable[[], object]) -> None:
    """Run a child's work and send what it returns or raises; nothing when it is stopped."""
    try:
        answer = pickle.dumps((True, work()))
    except Exception as error:  # raised again by Child.result
        answer = _pickled_error(error)
    outbox.write(answer)
    outbox.flush()


def _pickled_error(error: Exception) -> bytes:
    """Return an error pickled; one that pickle cannot restore is replaced by its words."""
    try:
        answer = pickle.dumps((False, error))
        pickle.loads(answer)  # noqa: S301 - our own
    except Exception:
        answer = pickle.dumps((False, RuntimeError(f"{type(error).__name__}: {error}")))
    return answer
