"""A swing lane for a room in which others play the plain one."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import unroll
from porchswing.grips.search.voice import voice
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.passage.together import rub
from porchswing.theory.symbols import parse_chord
from support.both_lanes import both_lanes
from support.strategies import tunes


@pytest.mark.parametrize(
    ("plain", "swing", "fits"),
    [
        ("C", "C6", True),
        ("C", "Am7", True),
        ("C", "Cmaj7", True),  # the seventh beside its own root
        ("G7", "G13", True),
        ("G7", "Dm7", False),  # its seventh hangs a semitone over the third
        ("G7", "Db7", False),
        ("C", "C#dim7", False),
        ("F", "Fm6", False),
        ("G7", "G7b9", True),
    ],
)
def test_the_rule(plain: str, swing: str, fits: bool) -> None:
    assert (rub(parse_chord(plain), parse_chord(swing)) is None) is fits


TUNE = "key: C\n[A]\n| C Am | Dm G7 | C | C7 | F | Fm | C Am | Dm G7 |\n"


def test_the_lane_still_swings() -> None:
    lead = reharmonize(parse_chart(TUNE), 3, together=True)
    free = reharmonize(parse_chart(TUNE), 3)
    assert lead.swaps
    assert lead.chart != free.chart


@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(tunes(), st.integers(1, 4))
def test_no_two_sounding_strings_of_both_lanes_rub(chart: Chart, depth: int) -> None:
    lead = reharmonize(chart, depth, together=True)
    written = {section.name for section in chart.sections if section.swing is not None}
    sounding = []
    for lane in ("plain", "swing"):
        road = unroll(lead.chart, lane=lane)
        voicing = voice(lead.chart, lane=lane)
        notes = []
        for bar in road.bars:
            at = bar.start_beats
            voiced = voicing.voiced(bar)
            for slot, held in zip(bar.slots, voiced, strict=True):
                if held.grip is not None and bar.section not in written:
                    pcs = {note % 12 for note in held.grip.midi if note is not None}
                    notes.append((at, at + slot.beats, pcs, slot.chord))
                at += slot.beats
        sounding.append(notes)
    for start, end, pcs, _ in sounding[0]:
        for first, last, others, chord in sounding[1]:
            if first < end and start < last:
                own = set(chord.pcs) if chord else set()
                rubs = {(a, b) for a in pcs - own for b in others if (a - b) % 12 in (1, 11)}
                assert not rubs


MOSS = """key: F
tempo: 132
form: A B
[A]
| F Dm | Gm C7 | F F7 | Bb Bbm | F D7 | Gm C7 | F Dm | Gm C7 |
[B]
| A7 | % | D7 | % | G7 | % | C7 | % |
"""


@pytest.mark.parametrize("depth", [2, 4])
def test_no_chord_tones_rub_when_both_midi_files_play_at_once(depth: int) -> None:
    """By mido, with human timing; ``tests/bench/together_sweep.py`` asks 500 tunes."""
    chart = parse_chart(MOSS)
    assert not [rub for rub in both_lanes(chart, depth) if rub.is_of_tones]
    free = [rub for rub in both_lanes(chart, depth, together=False) if rub.is_of_tones]
    assert len(free) > 5


def test_no_string_is_pulled_to_a_tone_of_the_next_chord_under_the_other_lane() -> None:
    bars = "|: E Am | G | A7 | E |\n| Am G | A7 | B7 | A7 :|\n"
    chart = parse_chart(f"title: Any\nkey: A minor\nmeter: 2/4\ntempo: 60\n[A]\n{bars}")
    assert not [rub for rub in both_lanes(chart, 1) if rub.is_of_tones]
