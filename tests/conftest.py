"""Fixtures every test folder shares."""

from __future__ import annotations

import gc
import importlib.util
import os
import re
import shutil
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

IN_CI = os.environ.get("CI", "").lower() in {"1", "true", "yes"}

# machines differ in speed, and a slow example is no wrong one; CI tries more of them, the
# scripts of tests/bench thousands
settings.register_profile("porchswing", deadline=None, max_examples=60 if IN_CI else 40)
settings.register_profile("quick", deadline=None, max_examples=20)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "porchswing"))

# a shell lets what it starts in the background ignore Ctrl-C; what tests start must not
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

ROOT = Path(__file__).resolve().parent.parent
os.environ["PORCHSWING_CONFIG"] = os.devnull  # a developer's own defaults change no test


def _missing(reason: str) -> None:
    """Skip with a reason on a developer's machine; fail in CI, where nothing may be missing."""
    if IN_CI:
        pytest.fail(f"CI must not miss anything: {reason}")
    pytest.skip(reason)


@pytest.fixture
def missing() -> Callable[[str], None]:
    """Return the function to call with what a test lacks: it skips the test (fails it in CI)."""
    return _missing


@pytest.fixture(scope="session")
def need_program() -> Callable[[str], str]:
    """Return a function that gives a program's path, or skips the test (fails it in CI)."""

    def need(name: str) -> str:
        found = shutil.which(name)
        if found is None:
            _missing(f"the program {name} is not installed")
        return str(found)

    return need


@pytest.fixture(scope="session")
def need_module() -> Callable[[str], None]:
    """Return a function that skips the test (fails it in CI) without an importable module."""

    def need(name: str) -> None:
        if importlib.util.find_spec(name) is None:
            _missing(f"the Python module {name} is not installed")

    return need


@pytest.fixture(scope="session")
def need_file() -> Callable[[Path, str], Path]:
    """Return a function that skips the test (fails it in CI) without a fetched file."""

    def need(path: Path, how: str) -> Path:
        if not path.exists():
            _missing(f"{path.name} is not there; {how}")
        return path

    return need


LONGEST = (
    "tests/outputs/test_kill_at_every_call.py",
    "tests/audio/test_transcriber.py",
    "tests/harmony/choice/test_lane_properties.py",
    "tests/course/test_faults.py",
    "tests/cli/test_all_options.py",
    "tests/pages/practice/test_playing.py",
    "tests/harmony/test_published_swaps.py",
    "tests/pages/test_practice_chromium.py",
    "tests/grips/names/test_naming.py",
    "tests/pages/test_handout.py",
    "tests/bench_server/test_page_chromium.py",
    "tests/pages/practice/test_layout.py",
    "tests/band/test_compose.py",
    "tests/course/test_build.py",
    "tests/notation/writing/test_musicxml.py",
    "tests/notation/reading/test_sheet_guard.py",
    "tests/audio/cores/test_forks.py",
    "tests/course/test_cluster.py",
    "tests/outputs/test_power_cut.py",
    "tests/grips/search/test_search.py",
    "tests/test_same_bytes.py",
    "tests/bench_server/test_heard_data.py",
    "tests/lesson/test_pack.py",
    "tests/audio/master/test_loudness.py",
    "tests/pages/film/test_movie.py",
    "tests/harmony/choice/test_recognition.py",
    "tests/cli/test_terminal_encodings.py",
    "tests/lesson/test_comparison.py",
    "tests/harmony/analysis/test_roman.py",
    "tests/pages/practice/test_without_scripts.py",
    "tests/audio/master/test_audio_files.py",
    "tests/course/test_run_pages.py",
)
"""The files that take longest, their processes and their waits counted; the first two in CI."""


def pytest_configure(config: pytest.Config) -> None:
    """Let each process read the folders of tests from another one on.

    In a fresh checkout each so rewrites the asserts of a share of them, and finds the others in
    the cache. No garbage is looked for until all are read.
    """
    gc.disable()
    process = re.fullmatch(r"gw(\d+)", os.environ.get("PYTEST_XDIST_WORKER", ""))
    if process and config.args_source is config.ArgsSource.TESTPATHS:
        tests = ROOT / "tests"
        parts = {path.relative_to(tests).parts[0] for path in tests.rglob("test_*.py")}
        shares = [str(tests / part) for part in sorted(parts)]
        first = int(process[1]) * len(shares) // int(os.environ["PYTEST_XDIST_WORKER_COUNT"])
        config.args[:] = [*shares[first:], *shares[:first], str(ROOT / "engine")]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first, so that none is still running when all else is done."""

    def place(item: pytest.Item) -> tuple[int, str]:
        file = item.path.relative_to(ROOT).as_posix()
        return LONGEST.index(file) if file in LONGEST else len(LONGEST), file

    items.sort(key=place)


def pytest_collection_finish() -> None:
    """Keep the tests themselves, a million objects, out of every look for garbage."""
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the root of the checkout."""
    return ROOT


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Let no test be skipped in CI, however it was skipped."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter else []
    if IN_CI and skipped:
        for report in skipped:
            reporter.write_line(f"skipped in CI: {report.nodeid}: {report.longrepr}")
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(scope="session")
def browser(
    need_program: Callable[[str], str], need_module: Callable[[str], None]
) -> Iterator[Any]:
    """Return Debian's Chromium, one for all tests of a process."""
    chromium = need_program("chromium")
    need_module("playwright")
    from playwright.sync_api import sync_playwright

    from support.chromium import ARGS

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGS)
        yield browser
        browser.close()
