"""Change the engine in one small place after another, and count which changes the tests notice.

    python tests/bench/mutation.py PACKAGE [MUTANTS] [SEED]      (needs cosmic-ray and coverage)
    python tests/bench/mutation.py PACKAGE --again FILE [TESTS...]

PACKAGE is a key of :data:`PACKAGES`. The changes are those of cosmic-ray's operators; a seeded
sample of them is applied one by one to a copy of the checkout. The tests that reach the line run
there until the first failure, with few generated examples. What only changes an annotation or a
docstring is no mutant. Survivors are listed with their line, to be judged: a missing test, or a
change that no test can see. ``--again`` tries those alone that FILE, what an earlier run printed,
lists as survivors, with all of the package's tests, those too that run the line in a process of
their own; with TESTS, as pytest takes them, in place of the package's.
"""

from __future__ import annotations

import ast
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from collected_tests import CollectedTests
from cosmic_ray.ast import get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names
from mutant_runs import Reached, fails, first_run

ROOT = Path(__file__).resolve().parents[2]
FIRST_RUN_CPU_S = 900
TRIED_CPU_S = 20.0
"""A mutant that tests of so many seconds do not notice counts as a survivor, until ``--again``."""

RECORDS = "tests/test_records.py"
_NEED_ARGUMENTS = {"core/VariableInserter", "core/VariableReplacer"}

# package: patterns of files below engine/porchswing, then what pytest is given
PACKAGES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "theory": (("theory/*.py",), ("tests/theory", "tests/harmony/analysis")),
    "rhythm": (("rhythm/*.py",), ("tests/rhythm", "tests/band")),
    "performance": (("performance/*.py",), ("tests/performance", "tests/midi", "tests/rhythm")),
    "midi": (("midi/*.py",), ("tests/midi",)),
    "outputs": (
        ("outputs/*.py",),
        (
            *("tests/outputs", "--ignore", "tests/outputs/test_power_cut.py"),
            *("--ignore", "tests/outputs/test_kill_at_every_call.py"),
        ),
    ),
    "jobs": (("outputs/jobs/*.py",), ("tests/outputs/jobs", "tests/course/test_build.py")),
    "chart": (("chart/**/*.py",), ("tests/chart",)),
    "guard and chooser": (
        ("harmony/passage/melody_guard.py", "harmony/choice/*.py"),
        (
            *("tests/harmony/choice", "tests/harmony/passage", "tests/harmony/swaps"),
            "tests/harmony/test_worked_examples.py",
        ),
    ),
    "fingers and search": (("grips/shapes/fingers.py", "grips/search/*.py"), ("tests/grips",)),
    "loudness and master": (
        ("audio/master/k_weighting.py", "audio/master/loudness.py", "audio/master/mastering.py"),
        ("tests/audio/master",),
    ),
}


def tests_of(package: str) -> tuple[str, ...]:
    """Return what pytest is given: a package's tests, its modules' own examples, all records."""
    sources, tests = PACKAGES[package]
    engine = ROOT / "engine" / "porchswing"
    modules = (path for source in sources for path in sorted(engine.glob(source)))
    examples = [
        str(path.relative_to(ROOT)) for path in modules if ">>> " in path.read_text("utf-8")
    ]
    return (*tests, RECORDS, *examples)


class Mutant(NamedTuple):
    """One change: the file, the operator and which of its places."""

    file: str
    operator: str
    place: int


def mutants(sources: tuple[str, ...]) -> list[Mutant]:
    """Return every change there is in some sources."""
    found = []
    for source in sources:
        for path in sorted((ROOT / "engine" / "porchswing").glob(source)):
            tree = get_ast(path.read_text("utf-8"))
            for name in sorted(set(operator_names()) - _NEED_ARGUMENTS):
                operator = get_operator(name)()
                places = sum(len(list(operator.mutation_positions(node))) for node in walk(tree))
                found += [Mutant(str(path.relative_to(ROOT)), name, n) for n in range(places)]
    return found


def walk(node):  # type: ignore[no-untyped-def]
    yield node
    for child in getattr(node, "children", ()):
        yield from walk(child)


def bare(code: str) -> str:
    """Return what a program does, without its annotations and docstrings."""
    tree = ast.parse(code)
    for node in ast.walk(tree):
        if isinstance(node, ast.arg | ast.AnnAssign):
            node.annotation = ast.Constant(0)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            node.returns = None
        body = getattr(node, "body", None)
        if isinstance(body, list):
            for at, child in enumerate(body):
                if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
                    body[at] = ast.Pass()
                if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
                    body[at] = ast.Pass()
    return ast.dump(tree)


def changed(mutant: Mutant) -> str:
    """Return a file's text with the mutant in it; empty where it changes nothing that runs."""
    code = (ROOT / mutant.file).read_text("utf-8")
    text = mutate_code(code, get_operator(mutant.operator)(), mutant.place)
    try:
        return text if text and bare(text) != bare(code) else ""
    except SyntaxError:
        return ""


def sample(package: str, count: int, seed: str) -> Iterator[tuple[Mutant, str]]:
    """Yield a seeded sample of mutants that change something, with the changed text."""
    every = mutants(PACKAGES[package][0])
    random.Random(f"{package} {seed}").shuffle(every)
    taken = 0
    for mutant in every:
        if taken < count and (text := changed(mutant)):
            taken += 1
            yield mutant, text


def changed_line(before: str, after: str) -> tuple[int, str]:
    """Return the number of the first line that differs, and both its texts."""
    rows = zip(before.splitlines(), after.splitlines(), strict=False)
    for number, (old, new) in enumerate(rows, start=1):
        if old != new:
            return number, f"{old.strip()}  ->  {new.strip()}"
    return len(before.splitlines()), "at its end"


def survivors(package: str, printed: str) -> Iterator[tuple[Mutant, str]]:
    """Yield the mutants that an earlier run printed as survivors, with the changed text."""
    rows = {row for row in printed.splitlines() if row.startswith("survived ")}
    alike = {re.sub(r":\d+: ", ": ", row) for row in rows}
    places = {tuple(re.split(r"[ ():]+", row)[1:3]) for row in rows}
    for mutant in mutants(PACKAGES[package][0]):
        if (mutant.operator, mutant.file) in places and (text := changed(mutant)):
            row = survivor_row(mutant, (ROOT / mutant.file).read_text("utf-8"), text)
            if re.sub(r":\d+: ", ": ", row) in alike:
                yield mutant, text


def survivor_row(mutant: Mutant, before: str, after: str) -> str:
    line, shown = changed_line(before, after)
    return f"survived ({mutant.operator}) {mutant.file}:{line}: {shown}"


class Checked(NamedTuple):
    """A copy of the checkout, its tests, what they reach, and the process that has them ready."""

    checkout: Path
    tests: tuple[str, ...]
    reached: Reached
    ready: CollectedTests

    def is_killed(self, file: str, before: str, after: str, all_too: bool) -> bool:
        """Return whether a test notices: those that reach the line, then perhaps all."""
        reached = self.reached
        near = reached.tests_of(file, before, changed_line(before, after)[0])
        reaching = reached.tests_of_file(file) if near is None else near  # None: at import
        tests = reached.quick(reaching, TRIED_CPU_S)
        killed: bool | None = None
        if near is not None and tests:
            killed = self.ready.fails(file, before, after, tests)
        if killed is None and tests:
            killed = fails(self.checkout, self.tests, reached.cpu_limit_s(tests), list(tests))
        if killed or not all_too:
            return bool(killed)
        return fails(self.checkout, self.tests, 3 * reached.cpu_limit_s(reached.seconds))


def copy_checkout(checkout: Path) -> None:
    for part in ("engine", "tests", "demos", "patterns"):
        shutil.copytree(ROOT / part, checkout / part, ignore=shutil.ignore_patterns("__pyc*"))
    for part in ("pyproject.toml", "README.md", "Makefile"):
        shutil.copy(ROOT / part, checkout / part)


def main() -> None:
    """Try the mutants and print the survivors and the share that was killed."""
    package, *rest = sys.argv[1:]
    again = rest[:1] == ["--again"]
    if again:
        chosen = survivors(package, Path(rest[1]).read_text("utf-8"))
    else:
        chosen = sample(package, int(rest[0]) if rest else 100, "".join(rest[1:2]) or "mutants")
    tests = tuple(rest[2:]) if again and rest[2:] else tests_of(package)
    with tempfile.TemporaryDirectory() as name:
        checkout = Path(name).resolve()
        copy_checkout(checkout)
        start = time.monotonic()
        reached = first_run(checkout, PACKAGES[package][0], tests, FIRST_RUN_CPU_S)
        if reached is None:
            sys.exit(f"the tests of {package} fail without any mutant")
        took_s = sum(reached.seconds.values())
        print(f"{package}: tests take {took_s:.0f} s of processor time", flush=True)
        checked = Checked(checkout, tests, reached, CollectedTests(checkout, tests))
        killed = tried = 0
        for mutant, text in chosen:
            target = checkout / mutant.file
            before = target.read_text("utf-8")
            target.write_text(text, "utf-8")
            for stale in (target.parent / "__pycache__").glob(f"{target.stem}.*"):
                stale.unlink()
            tried += 1
            if checked.is_killed(mutant.file, before, text, all_too=again):
                killed += 1
            else:
                print(survivor_row(mutant, before, text), flush=True)
            target.write_text(before, "utf-8")
        checked.ready.close()
        took = time.monotonic() - start
        print(f"{package}: {killed} of {tried} killed ({killed / tried:.0%}) in {took:.0f} s")


if __name__ == "__main__":
    main()
