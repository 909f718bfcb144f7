"""Every tune has a band of its own; its chords, lane, key and tempo change nothing of it."""

from __future__ import annotations

from dataclasses import replace
from statistics import correlation

import pytest

from porchswing.band.tune_seed import tune_seed
from porchswing.options import BandStyle
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from support import made

TUNE = """title: {title}
key: {key}
tempo: 140
strum: four
form: A B A

[A]
| C | F | G7 | C | C | F | G7 | C |

[B]
plain | F | F | {chord} | G7 |
swing | F6 | Fm6 | Em7 A7 | Dm7 G7 |
"""


def played(
    title: str = "Copper Kettle Rag", chord: str = "C", key: str = "C", lane: str = "plain",
    tempo: float = 140.0, seed: int | None = None,
) -> Performance:  # fmt: skip
    chart = made.parse_chart(TUNE.format(title=title, chord=chord, key=key))
    voicing = made.voice(chart, lane=lane, grips="any")
    roadmap = made.unroll(chart, lane=lane, choruses=2)
    style = BandStyle(seed=seed, tempo_bpm=tempo)
    return perform(made.compose_score(chart, roadmap, voicing, style), humanize=1.0)


def strokes(take: Performance, part: str) -> dict[float, tuple[float, int]]:
    """Return by written beat when the first sound falls (deviation in beats) and its loudness."""
    quarter_s = take.tempo_events[0].us_per_quarter / 1e6
    found: dict[float, tuple[float, int]] = {}
    # one limb, one string: which of a beat's sounds comes first is chance
    for note in sorted(
        take.part(part).notes, key=lambda note: (note.piece or "", note.string or 0)
    ):
        deviation = round(note.offset_s / quarter_s, 2)
        found.setdefault(float(note.beats), (deviation, note.velocity))
    return found


@pytest.mark.parametrize(
    "other", [{"chord": "Am"}, {"key": "F"}, {"lane": "swing"}, {"tempo": 139.0}]
)
def test_chords_key_lane_and_tempo_leave_every_stroke_elsewhere_as_it_was(other):
    here, there = played(), played(**other)
    for part in ("chords", "drums"):
        first, second = strokes(here, part), strokes(there, part)
        # bars 9 to 12 are the bridge, and so again in the second chorus: there chords differ
        elsewhere = [
            beat for beat in first
            if part == "drums" or not 31.0 <= beat % 80 <= 48.5
        ]  # fmt: skip
        assert len(elsewhere) > 60
        for beat in elsewhere:
            (late, loud), (other_late, other_loud) = first[beat], second[beat]
            assert loud == other_loud
            assert late == pytest.approx(other_late, abs=0.021)  # whole ticks, and rounding


def test_the_same_chart_is_the_same_take_and_another_seed_another():
    assert played() == played()
    assert played(seed=1) != played()


def test_two_tunes_of_one_form_do_not_play_alike():
    one, other = played("Copper Kettle Rag"), played("Snail on the Gate")
    for part in ("chords", "bass", "drums"):
        first, second = strokes(one, part), strokes(other, part)
        both = sorted(first.keys() & second.keys())
        late = correlation([first[b][0] for b in both], [second[b][0] for b in both])
        assert abs(late) < 0.3
        flat = {title: strokes(perform_flat(title), part) for title in (one.title, other.title)}
        loud = [
            [take[b][1] / flat[title][b][1] for b in both]
            for take, title in ((first, one.title), (second, other.title))
        ]
        assert abs(correlation(*loud)) < 0.3


def perform_flat(title: str) -> Performance:
    chart = made.parse_chart(TUNE.format(title=title, chord="C", key="C"))
    voicing = made.voice(chart, lane="plain", grips="any")
    roadmap = made.unroll(chart, lane="plain", choruses=2)
    return perform(made.compose_score(chart, roadmap, voicing, BandStyle()), humanize=0.0)


def test_the_scope_is_title_and_sections():
    chart = made.parse_chart(TUNE.format(title="T", chord="C", key="C"))
    roadmap = made.unroll(chart, lane="plain")
    assert tune_seed(roadmap, 0) == tune_seed(made.unroll(chart, lane="swing"), None)
    assert tune_seed(roadmap, 0) != tune_seed(replace(roadmap, title="U"), 0)
    assert tune_seed(roadmap, 0) != tune_seed(replace(roadmap, bars=roadmap.bars[:4]), 0)
