"""A player's own folder of patterns: on top of ours, in every process, known by its content."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from porchswing.errors import OptionError, PatternError
from porchswing.rhythm import patterns, strum
from porchswing.rhythm.patterns import OWN_FOLDER, pattern_digests, pattern_names

MINE = """title = "Mine"
when  = "When nothing else will do."
meter = "4/4"
feel  = "swing"
[[bars]]
count = "1 & 2 & 3 & 4 &"
hand  = "D . . . D . . ."
"""
CACHES = (patterns.pattern_names, patterns._files, patterns._read, strum.load_strum)


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    (tmp_path / "strum").mkdir()
    (tmp_path / "strum" / "mine.toml").write_text(MINE, "utf-8")
    monkeypatch.setenv(OWN_FOLDER, str(tmp_path))
    for cache in CACHES:
        cache.cache_clear()
    yield tmp_path
    monkeypatch.undo()
    for cache in CACHES:
        cache.cache_clear()


def test_a_pattern_of_ones_own_stands_beside_ours(own: Path) -> None:
    assert {"mine", "four"} <= set(pattern_names("strum"))
    assert strum.load_strum("mine").when == "When nothing else will do."


def test_a_pattern_of_the_same_name_takes_the_place_of_ours(own: Path) -> None:
    before = pattern_digests()
    (own / "strum" / "four.toml").write_text(MINE, "utf-8")
    for cache in CACHES:
        cache.cache_clear()
    after = pattern_digests()
    assert {name for name in after if before.get(name) != after[name]} == {"strum/four"}
    assert strum.load_strum("four").title == "Mine"


def test_a_mistake_names_the_players_own_file(own: Path) -> None:
    (own / "strum" / "mine.toml").write_text(MINE.replace("D . . .", "D U . ."), "utf-8")
    (own / "strum" / "bad.toml").write_text(MINE.replace("4 &", "4"), "utf-8")
    with pytest.raises(PatternError, match=f"{own}/strum/bad.toml: "):
        strum.load_strum("bad")


def test_a_folder_that_is_not_there_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(OWN_FOLDER, "nowhere/at/all")
    patterns._files.cache_clear()
    try:
        with pytest.raises(OptionError, match="names 'nowhere/at/all', which is not a folder"):
            patterns._files("strum")
    finally:
        monkeypatch.undo()
        patterns._files.cache_clear()


def test_the_command_line_plays_it(own: Path, tmp_path: Path, root: Path) -> None:
    chart = root / "demos" / "lantern_street_stroll.changes"
    out = tmp_path / "out.mid"
    code = "from porchswing.cli.main import main; main()"
    command = [sys.executable, "-c", code, "render", str(chart), "-o", str(out)]
    subprocess.run([*command, "--strum", "mine"], check=True)
    assert out.is_file()
