"""Run a package's tests in forked children of one warm process: all of them, or those of a line.

The parent has imported pytest and the numerical libraries, and neither the engine nor the tests:
a child starts in milliseconds and sees the checkout as it is at that moment. Its first run notes
which test reaches which line (coverage.py's dynamic contexts) and what each test takes of the
processor.
"""

from __future__ import annotations

import ast
import os
import pickle
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import coverage
import hypothesis.strategies  # noqa: F401  (warm for the children, as are the next)
import mido  # noqa: F401
import numpy  # noqa: F401
import pytest
import soundfile  # noqa: F401

PYTEST = ("-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist")
PYTEST += ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # hypothesis is imported before
MEMORY_LIMIT = 5 << 30
"""Bytes that a child may reserve: a mutant that piles things up must not take the machine."""

_IMPORTED = ""  # coverage's context of what runs while modules are imported


@dataclass
class Reached:
    """What a first run saw: which tests reach a line of a file, and each test's seconds."""

    lines: dict[str, dict[int, list[str]]]
    seconds: dict[str, float]

    def tests_of(self, file: str, text: str, line: int) -> set[str] | None:
        """Return the tests that reach the statement of a line; None where an import does."""
        found: set[str] = set()
        rows = text.splitlines()
        while line < len(rows) and not rows[line - 1].strip():  # a decorator goes with its blanks
            line += 1
        for at in _statement_lines(text, line):
            found |= set(self.lines.get(file, {}).get(at, ()))
        return None if _IMPORTED in found else found

    def tests_of_file(self, file: str) -> set[str]:
        """Return the tests that reach anything of a file; where none do, all."""
        lines = self.lines.get(file, {}).values()
        return {name for names in lines for name in names} - {_IMPORTED} or set(self.seconds)

    def quick(self, names: Iterable[str], cpu_s: float) -> dict[str, float]:
        """Return the quickest tests that take so many seconds together, with their seconds.

        They come file by file, so that what a file shares is made once.
        """
        files: defaultdict[str, dict[str, float]] = defaultdict(dict)
        taken_s = 0.0
        for name in sorted(names, key=lambda name: self.seconds[name]):
            taken_s += self.seconds[name]
            if taken_s <= cpu_s:
                files[name.partition("::")[0]][name] = self.seconds[name]
        by_time = sorted(files.values(), key=lambda own: sum(own.values()))
        return {name: own[name] for own in by_time for name in own}

    def cpu_limit_s(self, names: Iterable[str]) -> float:
        """Return the processor time after which some tests count as hanging."""
        return 20.0 + 5.0 * sum(self.seconds[name] for name in names)


def _statement_lines(text: str, line: int) -> Iterable[int]:
    """Return the lines of the smallest statement round a line; of a compound one, its head."""
    best = range(line, line + 1)
    size = None
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or 0):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if body else node.end_lineno or node.lineno
            lines = range(node.lineno, max(last, node.lineno) + 1)
            if line in lines and (size is None or len(lines) <= size):
                best, size = lines, len(lines)
    return best


@dataclass
class _Watch:
    """A plugin that notes lines by test, and the seconds of each test."""

    measure: coverage.Coverage
    seconds: defaultdict[str, float] = field(default_factory=lambda: defaultdict(float))

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item):  # type: ignore[no-untyped-def]
        self.measure.switch_context(item.nodeid)
        start = time.process_time()
        yield
        self.seconds[item.nodeid] += time.process_time() - start


@dataclass
class _Chosen:
    """A plugin that runs some tests alone, in the order given."""

    names: list[str]

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        place = {name: at for at, name in enumerate(self.names)}
        items[:] = sorted((i for i in items if i.nodeid in place), key=lambda i: place[i.nodeid])


def child(checkout: Path, quick: bool, cpu_limit_s: float | None, work: Callable[[], int]) -> int:
    """Fork; run the work in the checkout, silent, in a session of its own; return its process."""
    pid = os.fork()
    if pid:
        return pid
    os.setsid()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_LIMIT, MEMORY_LIMIT))
    if cpu_limit_s is not None:
        resource.setrlimit(resource.RLIMIT_CPU, (int(cpu_limit_s), int(cpu_limit_s)))
    os.chdir(checkout)
    silent = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silent, stream)
    sys.path[:0] = [str(checkout / "engine")]
    os.environ |= {"PYTHONPATH": os.pathsep.join([str(checkout / "engine"), *sys.path]), "CI": ""}
    if quick:
        os.environ["HYPOTHESIS_PROFILE"] = "quick"
    code = 70
    try:
        code = int(work())
    finally:
        os._exit(code)


def wait(pid: int, cpu_limit_s: float) -> int | None:
    """Return how a child ended; None where it waited too long and was killed with its own.

    A child that computes too long is ended by the system's own limit; this one is wide, as a
    busy machine gives a child little of each second.
    """
    deadline = time.monotonic() + 30.0 * cpu_limit_s
    ended = None
    while ended is None and time.monotonic() < deadline:
        done, status = os.waitpid(pid, os.WNOHANG)
        if done:
            ended = os.waitstatus_to_exitcode(status)
        else:
            time.sleep(0.01)
    with suppress(ProcessLookupError):
        os.killpg(pid, signal.SIGKILL)
    if ended is None:
        os.waitpid(pid, 0)
    return ended


def first_run(
    checkout: Path, sources: tuple[str, ...], tests: tuple[str, ...], cpu_limit_s: float
) -> Reached | None:
    """Run all tests, unmutated, and return what they reach; None where they fail."""
    engine = checkout / "engine" / "porchswing"
    files = [str(path) for source in sources for path in engine.glob(source)]
    notes = checkout / "reached.pickle"

    def work() -> int:
        measure = coverage.Coverage(data_file=None, include=files)
        watch = _Watch(measure)
        measure.start()
        code = pytest.main([*PYTEST, *tests], plugins=[watch])
        measure.stop()
        data = measure.get_data()
        lines = {
            str(Path(file).relative_to(checkout)): data.contexts_by_lineno(file)
            for file in data.measured_files()
        }
        notes.write_bytes(pickle.dumps((lines, dict(watch.seconds))))
        return code

    if wait(child(checkout, True, cpu_limit_s, work), cpu_limit_s) != 0:
        return None
    return Reached(*pickle.loads(notes.read_bytes()))


def fails(
    checkout: Path, tests: Iterable[str], cpu_limit_s: float, chosen: list[str] | None = None
) -> bool:
    """Return whether some test fails, crashes or hangs; with *chosen* those alone, quickly."""

    def work() -> int:
        sys.dont_write_bytecode = True
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        if chosen is None:
            return pytest.main([*PYTEST, *tests])
        files = sorted({name.partition("::")[0] for name in chosen})
        return pytest.main([*PYTEST, *files], plugins=[_Chosen(chosen)])

    return wait(child(checkout, chosen is not None, cpu_limit_s, work), cpu_limit_s) != 0
