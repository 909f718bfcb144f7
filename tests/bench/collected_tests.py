"""A package's tests, collected once: a mutant inside a function is tried in a fork of that.

A process collects the tests and then waits. For each mutant it forks; the child exchanges the
code of the mutated function and runs the chosen tests until the first failure. So a mutant costs
the tests alone, not starting pytest and importing engine and tests. What changes the own body of a
module or a class cannot be exchanged like this and is left to :func:`mutant_runs.fails`.
"""

from __future__ import annotations

import gc
import inspect
import os
import resource
import sys
import time
import warnings
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType
from typing import NamedTuple

import pytest
from mutant_runs import PYTEST, child, wait


class _Order(NamedTuple):
    """What a child is to try: a file's text before and after, the tests and what each takes."""

    file: str
    before: str
    after: str
    seconds: dict[str, float]


class _OwnBodyChanged(Exception):
    """A module's or a class's own body differs, or a function that is not there."""


@dataclass
class CollectedTests:
    """The waiting process, and the line to it."""

    checkout: Path
    tests: tuple[str, ...]
    line: Connection = field(init=False)

    def __post_init__(self) -> None:
        """Fork the process that collects."""
        self.line, other = Pipe()

        def work() -> int:
            self.line.close()
            os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
            sys.dont_write_bytecode = True
            return pytest.main([*PYTEST, *self.tests], plugins=[_Waiting(self.checkout, other)])

        child(self.checkout, True, None, work)
        other.close()
        self.line.recv()  # until it has collected, no file may change

    def fails(self, file: str, before: str, after: str, seconds: dict[str, float]) -> bool | None:
        """Return whether a test fails, crashes or hangs; None where code cannot be exchanged.

        ``seconds`` are those of the tests to run, in their order.
        """
        self.line.send(_Order(file, before, after, seconds))
        found: bool | None = self.line.recv()
        return found

    def close(self) -> None:
        """Let the process end."""
        self.line.send(None)


@dataclass
class _Waiting:
    """A plugin that, in place of running the collected tests, tries mutants as they are asked."""

    checkout: Path
    line: Connection

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        functions = _functions_by_code(str(self.checkout))
        gc.freeze()
        self.line.send("ready")
        while (order := self.line.recv()) is not None:
            self.line.send(self._try(session, items, functions, order))
        return True

    def _try(
        self,
        session: pytest.Session,
        items: dict[str, pytest.Item],
        functions: dict[tuple[str, str, int], list[FunctionType]],
        order: _Order,
    ) -> bool | None:
        path = str(self.checkout / order.file)
        with warnings.catch_warnings():  # such as one about "is" with a literal
            warnings.simplefilter("ignore")
            codes = [compile(text, path, "exec", dont_inherit=True) for text in order[1:3]]
        try:
            changes = [
                (function, new)
                for old, new in _changed_functions(*codes)
                for function in functions[path, old.co_qualname, old.co_firstlineno]
            ]
        except _OwnBodyChanged:
            return None
        if not changes or any(
            len(f.__code__.co_freevars) != len(c.co_freevars) for f, c in changes
        ):
            return None

        def work() -> int:
            for function, code in changes:
                function.__code__ = code
            chosen = [items[name] for name in order.seconds]
            for item, upcoming in zip(chosen, [*chosen[1:], None], strict=True):
                _limit_cpu(5.0 + 3.0 * order.seconds[item.nodeid])
                session.config.hook.pytest_runtest_protocol(item=item, nextitem=upcoming)
                if session.testsfailed:
                    return 1
            return 0

        longest_s = 2.0 + sum(order.seconds.values())  # of processor time: it may sleep for ever
        return wait(child(self.checkout, True, None, work), longest_s) != 0


def _limit_cpu(more_s: float) -> None:
    """Let the system end this process once it has computed so much longer."""
    limit_s = int(time.process_time() + more_s) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (limit_s, resource.getrlimit(resource.RLIMIT_CPU)[1]))


def _functions_by_code(under: str) -> dict[tuple[str, str, int], list[FunctionType]]:
    """Return every function there is from files below a folder, by file, name and first line."""
    found = defaultdict(list)
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(under):
            code = thing.__code__
            found[code.co_filename, code.co_qualname, code.co_firstlineno].append(thing)
    return found


def _changed_functions(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    """Yield the functions whose code differs, each with those inside it that differ."""
    if old == new:
        return
    is_function = bool(old.co_flags & inspect.CO_OPTIMIZED)
    if is_function:
        yield old, new
    elif _own(old) != _own(new):
        raise _OwnBodyChanged
    inner = [[each for each in code.co_consts if isinstance(each, CodeType)] for code in (old, new)]
    if len(inner[0]) == len(inner[1]):
        for pair in zip(*inner, strict=True):
            yield from _changed_functions(*pair)
    elif not is_function:
        raise _OwnBodyChanged


def _own(code: CodeType) -> tuple[object, ...]:
    """Return what a body does without the functions and classes in it."""
    constants = [repr(each) for each in code.co_consts if not isinstance(each, CodeType)]
    return code.co_code, code.co_names, code.co_varnames, tuple(constants)
