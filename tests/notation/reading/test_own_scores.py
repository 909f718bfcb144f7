"""Scores that we exported come in as the charts they were: both lanes, form, ends and swing."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from notation.conftest import Exported
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import SwingSetting
from porchswing.chart.unroll import unroll
from porchswing.lesson.chart_score import notated_score
from porchswing.options import BandStyle, Choices
from support.lead_sheets import imported

pytestmark = pytest.mark.usefixtures("music21_there")


def test_our_own_scores_come_back_with_both_lanes(exported: Exported, tmp_path: Path) -> None:
    found = imported(tmp_path, exported.text, "back.musicxml")
    for lane, chart in (("plain", exported.plain), ("swing", exported.swing)):
        again, before = unroll(found.chart, lane), unroll(chart, lane)
        assert len(again.bars) == len(before.bars)
        for one, other in zip(again.bars, before.bars, strict=True):
            assert one.section.split("-")[0] == other.section
            merged = [(s.chord, s.beats) for s in one.slots]
            wanted: list[tuple[Any, Fraction]] = []
            for slot in other.slots:
                if wanted and wanted[-1][0] == slot.chord:
                    wanted[-1] = (slot.chord, wanted[-1][1] + slot.beats)
                else:
                    wanted.append((slot.chord, slot.beats))
            assert merged == wanted
            tune = [(note.pitch, note.beats) for note in one.melody if note.pitch is not None]
            assert tune == [(n.pitch, n.beats) for n in other.melody if n.pitch is not None]
    assert (found.chart.title, found.chart.key) == (exported.plain.title, exported.plain.key)
    assert found.chart.meter == exported.plain.meter
    assert found.chart.tempo_bpm == exported.plain.tempo_bpm
    if exported.plain.title.startswith("Lantern"):
        assert found.chart.form == ("A", "A", "B", "A")
        assert (found.chart.intro, found.chart.ending) == ("Curtain", "Tag")


def test_a_section_that_ends_the_tune_is_the_same_section(tmp_path: Path) -> None:
    chart = parse_chart("form: A A B A\n[A]\n| F | C7 |\n[B]\n| Bb | F |\n")
    found = imported(tmp_path, notated_score(chart, Choices(depth=0)), "aaba.musicxml")
    assert found.chart.form == ("A", "A", "B", "A")


def test_a_section_whose_last_time_differs_is_a_section_of_its_own(tmp_path: Path) -> None:
    chart = parse_chart("form: A A B A\n[A]\n| F | C7 |\n[B]\n| Bb | F |\n")
    found = imported(tmp_path, notated_score(chart, Choices()), "aaba.musicxml").chart
    assert found.form == ("A", "A", "B", "A-last")
    assert found.section("A-last").plain == found.section("A").plain
    assert found.section("A-last").lane("swing") != found.section("A").lane("swing")


OWN = """title: Kettle on the Sill
key: G
swing: auto
form: A B A-last
intro: Gate
ending: Coda
[Gate]
| D7 | D7 |
[A]
|: G Em |1 Am D7 :|2 G |
[A-last]
| G | Bm E7 |
[B]
| C | Cm |
melody | E5:4 | Eb5:4 |
[Coda]
| C | G |
"""


@pytest.mark.parametrize("form", ["A B A-last", "A x2 B A", "B A"])
def test_our_own_score_keeps_form_ends_and_swing(tmp_path: Path, form: str) -> None:
    chart = parse_chart(OWN.replace("A B A-last", form))
    found = imported(tmp_path, notated_score(chart, Choices(depth=0)), "own.musicxml").chart
    assert (found.form, found.intro, found.ending) == (chart.form, "Gate", "Coda")
    assert found.settings.swing == chart.settings.swing
    played, wanted = (
        [[(slot.chord, slot.beats) for slot in bar.slots] for bar in unroll(each, "plain").bars]
        for each in (found, chart)
    )
    assert played == wanted
    assert [s.name for s in found.sections if s.melody] == ["B"]


@pytest.mark.parametrize("line", ["", "swing: auto\n", "strum: bossa\n"])
def test_a_swing_left_to_its_default_stays_so(tmp_path: Path, line: str) -> None:
    chart = parse_chart(OWN.replace("swing: auto\n", line))
    found = imported(tmp_path, notated_score(chart, Choices(depth=0)), "own.musicxml").chart
    assert found.settings.swing == chart.settings.swing


def test_our_own_score_with_sections_changed_by_hand_has_the_form_it_shows(tmp_path: Path) -> None:
    score = notated_score(parse_chart(OWN), Choices(depth=0))
    score = score.replace("<rehearsal>B</rehearsal>", "<rehearsal>Bridge</rehearsal>")
    found = imported(tmp_path, score, "own.musicxml").chart
    assert (found.form or tuple(s.name for s in found.sections))[:3] == ("Gate", "A", "Bridge")
    assert found.intro is None


def test_a_swing_chosen_for_the_export_is_what_comes_back(tmp_path: Path) -> None:
    choices = Choices(depth=0, style=BandStyle(swing=SwingSetting(Fraction(3, 2))))
    found = imported(tmp_path, notated_score(parse_chart(OWN), choices), "own.musicxml").chart
    assert found.settings.swing == SwingSetting(Fraction(3, 2))
