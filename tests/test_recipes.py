"""Every recipe of ``demos/recipes`` runs and makes what its first line promises."""

from __future__ import annotations

import csv
import io
import re
import runpy
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

import porchswing as ps

TUNE = """\
title: Two Cups
key: F
tempo: 150
form: A B
[A]
| F Dm7 | Gm7 C7 |
[B]
| F F7 | Bb Bbm |
"""


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    path = tmp_path / "two_cups.changes"
    path.write_text(TUNE, "utf-8")
    return path


@pytest.fixture
def said(root: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch):
    """Return a function that runs a recipe and returns its exit code and what it printed."""

    def run(name: str, *words: object) -> tuple[object, str]:
        path = root / "demos" / "recipes" / f"{name}.py"
        monkeypatch.setattr(sys, "argv", [str(path), *map(str, words)])
        code: object = None
        try:
            runpy.run_path(str(path), run_name="__main__")
        except SystemExit as leaving:
            code = leaving.code
        return code, capsys.readouterr().out

    return run


def test_slow_ladder_climbs_to_the_tunes_tempo(said, tune: Path, tmp_path: Path) -> None:
    said("slow_ladder", tune, "B", tmp_path / "out")
    tempos = (90, 105, 120, 135, 150)
    names = {f"B-{tempo}bpm.wav" for tempo in tempos}
    assert {path.name for path in (tmp_path / "out").iterdir()} == names
    for tempo in tempos:
        seconds = soundfile.info(tmp_path / "out" / f"B-{tempo}bpm.wav").duration
        # two choruses of two bars and a count-in of one or two, then what rings on
        assert 20 * 60 / tempo < seconds < 24 * 60 / tempo + 4


def test_easiest_key_ranks_twelve_keys(said, tune: Path) -> None:
    _, text = said("easiest_key", tune, 3)
    rows = [row.split() for row in text.splitlines()]
    costs = [float(row[1]) for row in rows]
    assert len({row[0] for row in rows}) == 12
    assert costs == sorted(costs)
    assert [row[0] for row in rows if "written" in row] == ["F"]


def test_swap_quiz_has_an_answer_for_every_question(said, tune: Path) -> None:
    _, text = said("swap_quiz", tune, 2)
    questions, answers = text.split("\f")
    numbers = re.findall(r"^(\d+)\.", questions, re.MULTILINE)
    assert numbers == re.findall(r"^(\d+)\.", answers, re.MULTILINE)
    assert len(numbers) > 1
    lead = ps.reharmonize(ps.parse_chart(TUNE), depth=2)
    for swap in lead.swaps:
        assert f". {swap.name}. " in answers
        assert swap.name not in questions


def test_grip_cards_sound_their_chords(said, tune: Path) -> None:
    _, text = said("grip_cards", tune, 9)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) > 4
    for row in rows:
        for frets in row["grips"].split():
            assert row["chord"] in [reading.symbol for reading in ps.name_grip(frets).readings]
            assert max(map(int, frets)) <= 9


def test_one_ear_each_keeps_the_ukulele_left(said, tune: Path, tmp_path: Path) -> None:
    said("one_ear_each", tune, tmp_path / "split.wav")
    heard, rate_hz = soundfile.read(tmp_path / "split.wav")
    lead = ps.reharmonize(ps.read_chart(tune))
    take = ps.arrange(lead, ps.voice(lead), only="chords")
    alone = take.samples().mean(axis=1)
    assert rate_hz == take.choices.sound.rate_hz
    left, right = heard[: len(alone)].T
    assert np.corrcoef(left, alone)[0, 1] > 0.999
    assert abs(np.corrcoef(right, alone)[0, 1]) < 0.2


def test_proofread_lists_every_mistake(said, tune: Path) -> None:
    assert said("proofread", tune.parent)[0] == 0
    (tune.parent / "wrong.changes").write_text("key: H\n[A]\n| F | Es7 |\n", "utf-8")
    code, text = said("proofread", tune.parent)
    assert code == 1
    assert re.findall(r"wrong\.changes:(\d+):(\d+): ", text) == [("1", "6"), ("3", "8")]


def test_every_recipe_is_tested_here_and_told_of(root: Path) -> None:
    names = {path.stem for path in (root / "demos" / "recipes").glob("*.py")}
    here = Path(__file__).read_text("utf-8")
    guide = (root / "demos" / "README.md").read_text("utf-8")
    assert len(names) >= 6
    assert [name for name in names if f'said("{name}"' not in here] == []
    assert [name for name in names if f"recipes/{name}.py" not in guide] == []
