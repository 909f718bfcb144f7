"""What README shows is what happens: its commands are run, its library example too."""

from __future__ import annotations

import doctest
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import COMMANDS, group
from porchswing.course.course_file import parse_course
from porchswing.set_list import parse_set

README = Path(__file__).resolve().parent.parent / "README.md"
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", README.read_text("utf-8"), re.MULTILINE | re.DOTALL)


def blocks(kind: str) -> list[str]:
    return [text for name, text in BLOCKS if name == kind]


@pytest.fixture
def checkout(tmp_path: Path, root: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in a folder that shows the demos as the checkout does."""
    (tmp_path / "demos").symlink_to(root / "demos")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("block", blocks("console"), ids=lambda b: b.split("\n")[0][13:40])
def test_a_command_prints_what_readme_shows(block: str, checkout: Path) -> None:
    command, _, want = block.partition("\n")
    assert command.startswith("$ porchswing ")
    result = CliRunner().invoke(group, shlex.split(command[2:])[1:])
    assert result.exit_code == 0, result.output
    checker = doctest.OutputChecker()
    flags = doctest.ELLIPSIS
    assert checker.check_output(want, result.stdout, flags), result.stdout


def test_the_library_example_runs(checkout: Path) -> None:
    (example,) = blocks("python")
    exec(compile(example, "README.md", "exec"), {})
    assert (checkout / "slow.mid").stat().st_size > 1000
    assert (checkout / "slow.wav").stat().st_size > 100_000


def test_the_chart_and_the_course_are_good(checkout: Path) -> None:
    chart = next(text for text in blocks("") if text.startswith("title:"))
    (checkout / "porch_step.changes").write_text(chart, "utf-8")
    assert CliRunner().invoke(group, ["check", "porch_step.changes"]).exit_code == 0
    course = next(text for text in blocks("toml"))
    assert tomllib.loads(course)["title"] == parse_course(course).title


def test_the_set_list_is_good() -> None:
    text = next(text for text in blocks("toml") if "gap_s" in text)
    assert len(parse_set(text).tunes) == 2


def test_every_command_is_told_of() -> None:
    table = set(re.findall(r"^\| `porchswing (\w+)", README.read_text("utf-8"), re.MULTILINE))
    assert table == set(COMMANDS) - {"demo"}


def test_the_make_targets_exist(root: Path) -> None:
    makefile = (root / "Makefile").read_text()
    for target in re.findall(r"^make (\w+)", blocks("sh")[0], re.MULTILINE):
        assert f"\n{target}:" in makefile
