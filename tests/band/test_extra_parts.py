"""The line part: one string of the grips, whatever the tuning."""

from __future__ import annotations

from pathlib import Path

from porchswing.chart.language.reader import read_chart
from porchswing.options import Choices
from porchswing.take import take_from_chart


def test_a_line_on_a_string_the_tuning_lacks_plays_the_smoothest(root: Path) -> None:
    chart = read_chart(root / "demos" / "lantern_street_stroll.changes")
    choices = Choices(tuning="g4 c4 e4", section="B", only=("line",))
    strings = {note.string for note in take_from_chart(chart, choices).performance.parts[0].notes}
    assert strings
    assert strings <= {1, 2, 3}


def test_the_demo_bridge_lets_string_2_fall_by_semitones(root: Path) -> None:
    chart = read_chart(root / "demos" / "lantern_street_stroll.changes")
    take = take_from_chart(chart, Choices(section="B", only=("line",), humanize=0.0))
    notes = [note.pitch for note in take.performance.parts[0].notes]
    assert list(dict.fromkeys(notes)) == [70, 69, 68, 67], "Bb A Ab G on string 2"
