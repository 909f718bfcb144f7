"""Whatever is typed after ``porchswing``, it ends with 0, 1 or 2 and writes nowhere but asked.

Words are drawn from the real options and values as well as from noise, so that most lines get
past the first check. The sound is rendered at the lowest rate of two bars to be quick.
"""

from __future__ import annotations

import os
import shlex
import tempfile
from importlib import import_module
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, event, example, given, settings, strategies as st

from porchswing.audio.master.soundfont import check_soundfont
from porchswing.cli.main import COMMANDS, group
from porchswing.errors import OptionError

CHART = "title: ../../Up <b>\nkey: F\n[A]\n| F@7877 Dm7 | Gm7 C7{slide} |\n"
SLOW = {
    "lesson",
    "demo",
    "film",
    "bench",
    "share",
    "play",
}  # packs, films and servers: their own tests disturb them
PARAMETERS = {
    name: import_module(module).command.params
    for name, (module, _) in COMMANDS.items()
    if name not in SLOW
}
FIRST = {"name": "7877", "list": "patterns", "build": "course.toml", "import": "missing.abc"}
"""A good first argument, where it is not a chart."""

VALUES = shlex.split(
    "chart.changes course.toml out out/a.wav a.mid ../up.wav missing.changes /dev/full . 0 1 -1 2 "
    "0.5 nan 1e999 66% 2:1 auto straight Eb H 4:down 9:up 1-2 2-1 7877 x-x-x-x 9-10-10-10 chords "
    "bass line melody mid wav,mid aiff four walk nosuch plain swing closed open any gCEA "
    "EADGBE patterns chords swaps A Z small --json -q --"
)

values = st.sampled_from(VALUES) | st.text(max_size=8).filter(
    lambda text: not {"/", "\0"} & set(text)  # roots are not ours; no argument can hold a NUL
)


def value_of(option: click.Parameter) -> st.SearchStrategy[str]:
    """Return values an option likes, and now and then any other."""
    if isinstance(option.type, click.Choice):
        return st.sampled_from([str(choice) for choice in option.type.choices])
    if isinstance(option.type, click.IntRange | click.FloatRange):
        return st.integers(-1, 9).map(str)
    return values


@st.composite
def lines(draw: Any) -> list[str]:
    """Draw a command line: a command, mostly its own options, values of every kind."""
    name = draw(st.sampled_from(sorted(PARAMETERS)))
    known = [p for p in PARAMETERS[name] if isinstance(p, click.Option)]
    words = [name, FIRST.get(name, "chart.changes") if draw(st.integers(0, 5)) else draw(values)]
    if any("-o" in option.opts for option in known):
        words += ["-o", draw(st.sampled_from(("out", "out/a.wav", "a.mid", "b.musicxml")) | values)]
    for option in draw(st.lists(st.sampled_from(known), max_size=4)):
        words.append(option.opts[-1])
        if not option.is_flag:
            words.append(draw(value_of(option) if draw(st.integers(0, 9)) else values))
    if any("--rate" in option.opts for option in known):
        words += ["--rate", "8000"]
    return words


def outside(folder: Path) -> set[Path]:
    """Return what lies in the folder above the one commands run in."""
    return {path for path in folder.rglob("*") if "here" not in path.parts}


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(lines())
@example(["render", "chart.changes", "-o", "out", "--section", "\ud800"])
@example(["name", "٣٣٣٣"])
@example(["grips", "chart.changes", "--ease", "/dev/full"])
@example(["build", "course.toml", "-o", "out", "--workers", "1"])
def test_any_command_line_ends_in_order(words: list[str]) -> None:
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        here = Path(name) / "here"
        here.mkdir()
        (here / "chart.changes").write_text(CHART, "utf-8")
        (here / "course.toml").write_text('[[tune]]\ncharts = ["*.changes"]\nformats = ["mid"]\n')
        os.chdir(here)
        try:
            result = CliRunner().invoke(group, words)
            left = outside(Path(name))
        finally:
            os.chdir(before)
    assert result.exception is None or isinstance(result.exception, SystemExit), (
        words,
        result.exception,
    )
    event(f"exit code {result.exit_code}")
    assert result.exit_code in (0, 1, 2), words
    asked = {path for path in left if any(word.startswith("../up") for word in words)}
    assert left - asked == set(), words


@given(st.binary(max_size=64) | st.binary(max_size=40).map(lambda b: b"RIFF\0\0\0\0sfbk" + b))
def test_any_file_as_a_soundfont(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "a.sf2"
        path.write_bytes(data)
        if data[:4] == b"RIFF" and data[8:12] == b"sfbk":
            check_soundfont(path)
        else:
            with pytest.raises(OptionError, match="SoundFont"):
                check_soundfont(path)


def test_every_command_is_a_command() -> None:
    for name, (module, _) in COMMANDS.items():
        assert isinstance(import_module(module).command, click.Command), name
