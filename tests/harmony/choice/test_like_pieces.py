"""Cells of a repeated phrase are found once and are those that every piece would have alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.choice import cells
from porchswing.harmony.choice.like_pieces import at_zero, later_steps
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.passage.flow import flow_of, passage
from porchswing.harmony.passage.steps import Deed, Step
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord

PHRASES = {
    "four bars": "| C | Am | Dm | G7 |\n" * 12,
    "eight bars": "| C C7 | F Fm | C A7 | D7 G7 |\n| Em7 A7 | Dm7 G7 | C | % |\n" * 6,
    "three bars": "| C | Am | Dm |\n" * 14 + "| F | G7 |\n",
    "melody": "".join(
        "plain | C | Am | Dm | G7 |\n"
        f"melody | C5:4 | A4:4 | {'Bb4:4' if place % 5 else 'F5:4'} | G4:1 B4:3 |\n"
        for place in range(12)
    ),
}


@pytest.mark.parametrize("text", PHRASES.values(), ids=PHRASES)
def test_a_repeated_phrase_gets_the_cells_it_would_have_alone(
    monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    chart = parse_chart(f"key: C\n[A]\n{text}")
    found = reharmonize(chart, 4)
    monkeypatch.setattr(cells, "at_zero", lambda piece: piece.steps[0].start)
    assert reharmonize(chart, 4) == found


def test_a_repeated_phrase_is_looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    looked: list[int] = []
    own = cells._cells_in

    def counted(maker: cells.Maker, start: int, stop: int, *rest: object) -> object:
        looked.append(stop - start)
        return own(maker, start, stop, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(cells, "_cells_in", counted)
    counts = []
    for times in (24, 48):
        looked.clear()
        reharmonize(parse_chart("key: C\n[A]\n" + "| C | Am | Dm | G7 |\n" * times), 2)
        counts.append(sum(looked))
    assert counts[0] == counts[1] < 48 * 4


def test_what_sounds_beneath_a_piece_distinguishes_it_and_what_sounds_elsewhere_does_not() -> None:
    chart = parse_chart("key: C\n[A]\n| C | Am | Dm | G7 |\n")
    whole = passage(chart, ("A",), range(4), flow_of(chart))
    home, other = whole.steps, whole.steps[0]._replace(chord=parse_chord("C7"))
    middle = replace(whole, steps=whole.steps[1:3])
    over_home = at_zero(replace(middle, beneath=home))
    assert over_home == at_zero(replace(middle, beneath=(other, *home[1:])))
    changed = home[2]._replace(chord=parse_chord("F"))
    assert over_home != at_zero(replace(middle, beneath=(*home[:2], changed, home[3])))


def test_steps_and_the_swaps_in_them_move_together() -> None:
    home = parse_chord("C")
    deed = Deed("related ii", 0, 96, (home,), (home,))
    (moved,) = later_steps([Step(home, 0, 96, Key.parse("C"), deeds=(deed,))], 192)
    assert (moved.start, moved.end) == (192, 288)
    assert [(one.start, one.stop) for one in moved.deeds] == [(192, 288)]
