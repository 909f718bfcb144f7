"""Clicks between two takes: one each felt beat, and nothing else."""

from __future__ import annotations

from porchswing.chart.model import Meter
from porchswing.performance.concatenate import clicks


def test_clicks_fall_on_felt_beats_and_end_with_the_last():
    take = clicks(Meter(6, 8), 120.0, 3)
    (count,) = take.parts
    assert (count.name, count.instrument) == ("count", "count")
    # a dotted quarter is 1440 of 960 ticks a quarter, and each click sounds for half of it
    assert [(n.onset_ticks, n.end_ticks) for n in count.notes] == [
        (0, 720), (1440, 2160), (2880, 3600),
    ]  # fmt: skip
    assert {note.pitch for note in count.notes} == {77}  # General MIDI 1: low wood block
    assert {note.velocity for note in count.notes} == {95}
    assert (take.end_ticks, take.end_s, take.meter) == (4320, 2.25, (6, 8))
    assert take.music_start_s == 0.0
    assert len(clicks(Meter(4, 4), 120.0).part("count").notes) == 2
