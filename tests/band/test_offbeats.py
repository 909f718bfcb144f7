"""One off-beat for the whole band, at every swing ratio and tempo."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction

import pytest

from porchswing.band.offbeats import with_swung_lets
from porchswing.band.score import Hit, PartScore
from porchswing.chart.model import SwingSetting
from porchswing.options import BandStyle
from porchswing.performance.perform import perform
from support import made

THIRD = Fraction(1, 3)
CHART = (
    "title: T\nkey: C\ntempo: {tempo}\nstrum: {strum}\nform: A B A\n"
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


def off_beats(tempo: int, ratio: float | None, strum: str) -> list[float]:
    """Return how far apart in ms the parts' off-beats lie, beat by beat."""
    chart = made.parse_chart(CHART.format(tempo=tempo, strum=strum))
    swing = None if ratio is None else SwingSetting(Fraction(ratio))
    roadmap = made.unroll(chart, lane="plain")
    voicing = made.voice(chart, lane="plain", grips="any")
    score = made.compose_score(chart, roadmap, voicing, BandStyle(swing=swing))
    found: dict[int, dict[str, float]] = defaultdict(dict)
    triplets = {
        int(event.onset_beats)
        for one in score.parts
        for event in one.events
        if event.onset_beats % 1 in {THIRD, Fraction(1, 4), Fraction(3, 4)}
    }
    for one in perform(score, humanize=0.0).parts:
        for note in one.notes:
            beat, inside = divmod(note.beats, 1)
            if inside in {Fraction(1, 2), 2 * THIRD} and int(beat) not in triplets:
                known = found[int(beat)].setdefault(one.name, note.onset_s)
                found[int(beat)][one.name] = min(known, note.onset_s)
    return [
        1000 * (max(parts.values()) - min(parts.values()))
        for parts in found.values()
        if len(parts) > 1
    ]


@pytest.mark.parametrize("tempo", [40, 66, 138, 300])
@pytest.mark.parametrize("ratio", [None, 1.0, 2.0, 3.5])
def test_no_two_off_beats_lie_more_than_15_ms_apart(tempo, ratio):
    gaps = [
        gap
        for strum in ("four", "ballad", "ballad_triplets", "shuffle", "island")
        for gap in off_beats(tempo, ratio, strum)
    ]
    assert gaps
    assert max(gaps) <= 15.0
