"""The wheel carries everything: the demo runs from a zipped wheel, away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = Path(__file__).resolve().parent.parent
    folder = tmp_path_factory.mktemp("wheel")
    command = ["-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run(
        [sys.executable, *command, "--wheel-dir", str(folder), str(root)],
        check=True,
        capture_output=True,
    )
    return next(folder.glob("porchswing-*.whl"))


def run_zipped(wheel: Path, *arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(wheel)}
    return subprocess.run(
        [sys.executable, "-m", "porchswing", *arguments],
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )


def test_the_wheel_ships_patterns_demos_and_types(wheel: Path, root: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("patterns", "demos"):
        for path in (root / folder).rglob("*.*"):
            assert f"porchswing/{path.relative_to(root).as_posix()}" in names
    assert "porchswing/py.typed" in names
    assert not [name for name in names if name.startswith("tests")]


def test_the_package_in_use_is_the_zipped_one(wheel: Path, tmp_path: Path) -> None:
    code = "import porchswing; print(porchswing.__file__)"
    environment = {**os.environ, "PYTHONPATH": str(wheel)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.startswith(str(wheel))


def test_patterns_are_found_in_a_zipped_wheel(wheel: Path, tmp_path: Path) -> None:
    assert "strum four" in run_zipped(wheel, "list", "patterns", cwd=tmp_path).stdout


def test_the_demo_runs_from_a_zipped_wheel(
    wheel: Path, tmp_path: Path, need_module: Callable[[str], None]
) -> None:
    run_zipped(wheel, "demo", "-o", "out", cwd=tmp_path)
    written = sorted(path.suffix for path in (tmp_path / "out").glob("*.*") if path.is_file())
    assert {".mid", ".wav"} <= set(written)


def test_a_checkout_can_be_installed_as_it_is(root: Path, tmp_path: Path) -> None:
    """``pip install --editable`` asks the build backend for a wheel that points here."""
    code = f"from hatchling.build import build_editable as b; print(b({str(tmp_path)!r}))"
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, cwd=root, capture_output=True, text=True, check=True)
    with zipfile.ZipFile(tmp_path / done.stdout.strip()) as made:
        pointers = [made.read(n).decode().strip() for n in made.namelist() if n.endswith(".pth")]
    assert pointers == [str(root / "engine")]
