"""One off-beat for the whole band, at every swing ratio and tempo."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import example, given, strategies as st

from porchswing.band.offbeats import with_swung_lets
from porchswing.band.score import Hit, PartScore
from porchswing.chart.model import SwingSetting
from porchswing.options import DEFAULTS, BandStyle
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.strum import load_strum
from support import made

THIRD = Fraction(1, 3)
CHART = (
    "title: T\nkey: C\nmeter: {meter}\ntempo: {tempo}\nstrum: {strum}\nform: A B A\n"
    "[A]\n| C | F | G7 | C |\n[B]\n| F | F | G7 | G7 |\n"
)


def part(*onsets: Fraction) -> PartScore:
    return PartScore("drums", tuple(Hit(Fraction(onset), "ride") for onset in onsets))


def test_a_let_alone_is_the_off_beat_and_with_its_trip_a_triplet():
    moved = with_swung_lets(part(0, 2 * THIRD, 1, 1 + THIRD, 1 + 2 * THIRD), Fraction(1))
    assert [event.onset_beats for event in moved.events] == [
        0, Fraction(1, 2), 1, 1 + THIRD, 1 + 2 * THIRD,
    ]  # fmt: skip


def test_an_event_that_lasts_to_a_let_lasts_to_the_off_beat():
    sweep = Hit(Fraction(0), "brush_sweep", 0.5, 2 * THIRD)
    moved = with_swung_lets(PartScore("drums", (sweep, Hit(2 * THIRD, "brush_tap"))), Fraction(1))
    assert moved.events[0].duration_beats == Fraction(1, 2)


def apart_ms(
    strum: str, tempo: float, ratio: float | None, humanize: float = 0.0, seed: int = 0
) -> list[float]:
    """Return how far apart any two parts' sounds at one written place lie.

    A stroke counts with its first string, the drums with every limb. Beats that a part divides
    otherwise (triplets, sixteenths) are left out.
    """
    meter = load_strum(strum).meter
    chart = made.parse_chart(CHART.format(tempo=tempo, strum=strum, meter=meter))
    swing = None if ratio is None else SwingSetting(Fraction(ratio))
    roadmap = made.unroll(chart, lane="plain")
    voicing = made.voice(chart, lane="plain", grips="any")
    score = made.compose_score(chart, roadmap, voicing, BandStyle(swing=swing, seed=seed))
    unit = score.tempo_map.swing_unit_beats
    divided = {
        event.onset_beats // unit
        for one in score.parts
        for event in one.events
        if (event.onset_beats / unit).denominator > 2
    }
    found: dict[Fraction, dict[tuple[str, str | None], float]] = defaultdict(dict)
    for one in perform(score, humanize=humanize).parts:
        for note in one.notes:
            if one.name != "count" and note.beats // unit not in divided:
                sounds, sound = found[note.beats], (one.name, note.piece)
                sounds[sound] = min(note.onset_s, sounds.get(sound, note.onset_s))
    return [
        1000 * abs(sounds[one] - sounds[other])
        for sounds in found.values()
        for one, other in combinations(sounds, 2)
        if one[0] != other[0]
    ]


@pytest.mark.parametrize("tempo", [40, 66, 138, 300])
@pytest.mark.parametrize("ratio", [None, 1.0, 2.0, 3.5])
def test_no_two_off_beats_on_the_grid_lie_more_than_15_ms_apart(tempo, ratio):
    gaps = [
        gap
        for strum in ("four", "ballad", "ballad_triplets", "shuffle", "island")
        for gap in apart_ms(strum, tempo, ratio)
    ]
    assert gaps
    assert max(gaps) <= 15.0


@example("ballad", 40, 2.0, DEFAULTS.humanize, 0)
@example("shuffle", 72, 3.5, DEFAULTS.humanize, 0)
@given(
    st.sampled_from(pattern_names("strum")), st.integers(40, 300), st.floats(1.0, 3.5),
    st.just(DEFAULTS.humanize) | st.floats(0.0, 1.0), st.integers(0, 2**31 - 1),
)  # fmt: skip
def test_humans_of_any_setting_keep_two_parts_within_15_ms(strum, tempo, ratio, humanize, seed):
    assert max(apart_ms(strum, tempo, ratio, humanize, seed), default=0.0) <= 15.0
