"""Every tune has a band of its own; its chords, lane, key and tempo change nothing of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from statistics import correlation, fmean

import pytest

from porchswing.band.places import tune_seed
from porchswing.options import DEFAULTS, BandStyle
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

TITLES = [f"{one} on {day}" for one in ("Moss", "Snails", "Lamps", "Kettles") for day in "AB"]
"""Tunes that differ in nothing but their name."""


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


@pytest.fixture(scope="module")
def bands() -> list[tuple[Performance, Performance]]:
    """Return eight tunes of one form, each played as by default and exactly as written."""
    charts = [made.parse_chart(TUNE.format(title=one, chord="C", key="C")) for one in TITLES]
    voicing = made.voice(charts[0], lane="plain", grips="any")
    found = []
    for chart in charts:
        roadmap = made.unroll(chart, lane="plain", choruses=2)
        score = made.compose_score(chart, roadmap, voicing, BandStyle())
        found.append((perform(score, humanize=DEFAULTS.humanize), perform(score, humanize=0.0)))
    return found


def touches(take: Performance, part: str) -> dict[tuple[float, str], tuple[float, int]]:
    """Return by written beat and limb (or string) how late a sound is, and its velocity."""
    return {
        (float(note.beats), note.piece or str(note.string)): (note.offset_s, note.velocity)
        for note in take.part(part).notes
    }


def humans(
    bands: list[tuple[Performance, Performance]], part: str
) -> tuple[list[list[float]], list[list[float]], list[list[int]]]:
    """Return by tune what its human adds to the sounds that all tunes share: seconds, loudness.

    Seconds are what is played later than written, without what a limb is late on average
    (published, and every drummer's); loudness is the velocity over the written accent's. The third
    are the velocities themselves.
    """
    pairs = [(touches(played, part), touches(written, part)) for played, written in bands]
    shared = sorted(set.intersection(*(set(one) & set(other) for one, other in pairs)))
    late_s, loud, raw = [], [], []
    for played, written in pairs:
        late = {key: played[key][0] - written[key][0] for key in shared}
        limbs = {
            limb: fmean(late[key] for key in shared if key[1] == limb)
            for limb in {key[1] for key in shared}
        }
        late_s.append([late[key] - limbs[key[1]] for key in shared])
        loud.append([played[key][1] / written[key][1] for key in shared])
        raw.append([played[key][1] for key in shared])
    return late_s, loud, raw


@pytest.mark.parametrize("part", ["chords", "bass", "drums"])
def test_tunes_of_one_form_have_humans_of_their_own(bands, part):
    """What the humans of two tunes add to the written time and loudness is not alike."""
    late_s, loud, raw = humans(bands, part)
    assert len(raw[0]) > 100
    for added in (late_s, loud):
        alike = [correlation(*pair) for pair in combinations(added, 2)]
        assert abs(fmean(alike)) < 0.12
        assert fmean(map(abs, alike)) < 0.13
        assert max(map(abs, alike)) < 0.3
    # the same strum digs in at the same places: no human may bury its accents
    assert min(correlation(*pair) for pair in combinations(raw, 2)) > 0.9


def test_the_scope_is_title_and_sections():
    chart = made.parse_chart(TUNE.format(title="T", chord="C", key="C"))
    roadmap = made.unroll(chart, lane="plain")
    assert tune_seed(roadmap, 0) == tune_seed(made.unroll(chart, lane="swing"), None)
    assert tune_seed(roadmap, 0) != tune_seed(replace(roadmap, title="U"), 0)
    assert tune_seed(roadmap, 0) != tune_seed(replace(roadmap, bars=roadmap.bars[:4]), 0)
