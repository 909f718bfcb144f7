"""How the last chorus ends where the written chords lead back to the top.

A tune comes to rest by V and I, and I is there with the last bar: common practice, no source.
"""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.harmony.choice.reharmonize import reharmonize

LOOPS = {
    "ii, then V": "key: Bb\n[A]\n| Bb | Gm | Cm | F7 |",
    "ii V in the last bar": "key: G\n[A]\n| G | E7 | Am | D7 |\n| G E7 | Am D7 | G Em | Am D7 |",
    "V of two bars": "key: C\nmeter: 3/4\n[A]\n| C | F | C | C | Dm | Dm | G7 | G7 |",
    "V of V, then V, in minor": "key: Am\n[A]\n| Am | Dm | Am | Am | Dm | Am | B7 | E7 |",
    "I, then V": "key: F\n[A]\n| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | F7 | C7 | Bb7 | F7 | C7 |",
}


@pytest.mark.parametrize("depth", [2, 3, 4])
@pytest.mark.parametrize("loop", LOOPS)
def test_the_last_chorus_ends_by_a_dominant_on_the_tonic(loop: str, depth: int) -> None:
    lead = reharmonize(parse_chart(LOOPS[loop]), depth)
    home = lead.chart.key.tonic.pc
    played = unroll(lead.chart, lane="swing", choruses=2)
    chords = [slot.chord for bar in played.bars for slot in bar.slots if slot.chord]
    assert chords[-1].root.pc == home
    before = next(chord for chord in reversed(chords) if chord.root.pc != home)
    way = ((before.root.pc - home) % 12, before.quality.family)
    assert way in ((7, "dominant"), (1, "dominant"), (11, "diminished")), str(before)


def test_with_a_bar_to_itself_home_comes_with_the_last_bar() -> None:
    lead = reharmonize(parse_chart(LOOPS["V of V, then V, in minor"]), 2)
    *_, seventh, eighth = unroll(lead.chart, lane="swing", choruses=2).bars
    assert [len(seventh.slots), len(eighth.slots)] == [2, 1]
