"""Forked worker processes (Linux): split a job over cores, or preload modules in a helper.

A command is short: much of a render of half a second is loading numpy and waiting for one core.
A fork costs a millisecond and nothing is loaded twice. It is safe only while the process runs a
single thread (a lock held by another one would stay held in the child), and only Linux promises
that its system libraries bear it; :func:`may_fork` says so, and elsewhere its users do without.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import IO, Any, ParamSpec, TypeVar, cast

from porchswing.errors import OutputError

P = ParamSpec("P")
Result = TypeVar("Result")

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


def may_fork() -> bool:
    """Say whether this process is one that may be forked: on Linux, with a single thread."""
    return sys.platform == "linux" and sum(1 for _ in _TASKS.iterdir()) == 1


class Child:
    """A forked process: ``work(inbox, outbox)`` runs in it; here are the other ends.

    Whoever makes one calls :meth:`end`, which leaves no process behind, whatever it does. A child
    whose parent dies ends when it has something to tell or waits to be asked. Where the system
    grants no process, making one raises ``OSError``.
    """

    def __init__(self, work: Callable[[IO[bytes], IO[bytes]], None]) -> None:
        theirs_in, ours_out = os.pipe()
        ours_in, theirs_out = os.pipe()
        # no signal comes between the fork and what each side makes of it
        before = signal.pthread_sigmask(signal.SIG_BLOCK, _SIGNALS)
        try:
            self._pid = os.fork()
        except OSError:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
            for end in (theirs_in, ours_out, ours_in, theirs_out):
                os.close(end)
            raise
        if self._pid == 0:
            try:
                os.close(ours_in)
                os.close(ours_out)
                signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
                signal.signal(signal.SIGTERM, _leave)
                signal.signal(signal.SIGALRM, _leave)
                signal.pthread_sigmask(signal.SIG_SETMASK, before)
                with os.fdopen(theirs_in, "rb") as inbox, os.fdopen(theirs_out, "wb") as outbox:
                    work(inbox, outbox)
            finally:
                os._exit(0)  # past everything the parent will do at its own end
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        os.close(theirs_in)
        os.close(theirs_out)
        self._is_stopped = False
        self._inbox: IO[bytes] = os.fdopen(ours_in, "rb")
        self._outbox: IO[bytes] = os.fdopen(ours_out, "wb")

    def ask(self, request: object) -> None:
        """Send the child something to do."""
        try:
            pickle.dump(request, self._outbox, pickle.HIGHEST_PROTOCOL)
            self._outbox.flush()
        except BrokenPipeError as error:
            raise OutputError(_ENDED) from error

    def result(self, told: Callable[[Any], object] | None = None) -> Any:
        """Wait for what the child returns, and return or raise it.

        Values it tells on the way are handed to ``told``.
        """
        while True:
            try:
                kind, value = pickle.load(self._inbox)  # noqa: S301 - from our own child
            except EOFError as error:
                raise OutputError(_ENDED) from error
            if kind == "told" and told:
                told(value)
            elif kind == "raised":
                raise value
            elif kind == "returned":
                return value

    def stop(self) -> None:
        """Stop the process, whatever it does; it removes what it has half done.

        :meth:`end` waits until it is gone.
        """
        if not self._is_stopped:
            self._is_stopped = True
            os.kill(self._pid, signal.SIGTERM)  # not reaped yet, so the number is still its own
            for end in (self._inbox, self._outbox):
                with suppress(OSError):
                    end.close()

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


def answer(outbox: IO[bytes], work: Callable[[], object]) -> None:
    """Run a child's work and tell what it returns or raises; when it is stopped, nothing."""
    try:
        told = pickle.dumps(("returned", work()))
    except Exception as error:  # raised again by Child.result
        told = _told_error(error)
    outbox.write(told)
    outbox.flush()


def _told_error(error: Exception) -> bytes:
    """Return an error as it is told; one that pickle cannot bring back whole, by its words."""
    try:
        told = pickle.dumps(("raised", error))
        pickle.loads(told)  # noqa: S301 - our own
    except Exception:
        told = pickle.dumps(("raised", RuntimeError(f"{type(error).__name__}: {error}")))
    return told


class Helper:
    """A child that runs functions when asked, one at a time, and gets ready meanwhile.

    Parameters
    ----------
    modules
        What it loads while nobody asks for anything, in this order.
    """

    def __init__(self, modules: Sequence[str]) -> None:
        self._child = Child(lambda inbox, outbox: _serve(inbox, outbox, modules))

    def __enter__(self) -> Helper:
        """Return the helper."""
        return self

    def __exit__(self, *_: object) -> None:
        """End it."""
        self._child.end()

    def stop(self) -> None:
        """Let it give its memory back already: nothing more will be asked."""
        self._child.stop()

    def start(
        self,
        function: Callable[..., Result],
        on_progress: Callable[[float], object] | None,
        *arguments: Any,
    ) -> Callable[[], Result]:
        """Start a function of a module in the helper; return how to wait for its result.

        The function is sent by its name, so it lies at the top of a module that is cheap to
        import here, and imports what is not when it runs. ``on_progress``, where given, is
        called here with what the function gives its own ``progress``.
        """
        self._child.ask((function, arguments, on_progress is not None))
        return lambda: cast(Result, self._child.result(on_progress))

    def hint(self, function: Callable[P, object], *arguments: P.args, **named: P.kwargs) -> None:
        """Run a function in the helper to warm its caches; no result is returned."""
        self._child.ask((partial(function, *arguments, **named), (), None))


def start_in(
    helper: Helper | None,
    function: Callable[..., Result],
    on_progress: Callable[[float], object] | None,
    *arguments: Any,
) -> Callable[[], Result]:
    """Start a function in a helper (see :meth:`Helper.start`); without one it runs here, later."""
    if helper is not None:
        return helper.start(function, on_progress, *arguments)
    named = {} if on_progress is None else {"progress": on_progress}
    return partial(function, *arguments, **named)


def _serve(inbox: IO[bytes], outbox: IO[bytes], modules: Sequence[str]) -> None:
    """Load modules while nothing is asked, then answer until the parent is gone."""
    for module in modules:
        if select.select([inbox], [], [], 0.0)[0]:
            _answer_one(inbox, outbox)
        with suppress(Exception):  # as in a hint
            import_module(module)
    while True:
        _answer_one(inbox, outbox)


def _answer_one(inbox: IO[bytes], outbox: IO[bytes]) -> None:
    function, arguments, tells = pickle.load(inbox)  # noqa: S301 - from our own parent
    if tells is None:  # a hint
        with suppress(Exception):  # it will come again when the thing itself is asked for
            function()
        return

    def tell(value: object) -> None:
        pickle.dump(("told", value), outbox)
        outbox.flush()

    progress = {"progress": tell} if tells else {}
    answer(outbox, lambda: function(*arguments, **progress))
