"""Roadmaps, scores and takes made for tests, from chart text or by hand."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

from porchswing.band.compose import compose_score
from porchswing.band.score import Hit, Label, PartScore, Pluck, Score, Stroke
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.search.cost import move_terms
from porchswing.grips.search.form_voicing import GripRequest, best_voicings, lay_out
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.model import Grip, Tuning, Voicing
from porchswing.options import BandStyle
from porchswing.rhythm.tempo import TempoMap, TempoSegment

TUNE = """\
title:  Lantern Street Stroll
key:    F
meter:  4/4
tempo:  138
form:   A A B A
ending: Tag

[A]
| F  Dm7 | Gm7 C7 | F  Dm7 | Gm7 C7 |
| F  F7  | Bb  Bbm | F  C7 | F      |

[B]
| A7 | % | D7 | % | G7 | % | C7 | % |

[Tag]
| F F7 | Bb Bdim7 | F/C C7 | F{hold} |
"""

ROOT = Path(__file__).resolve().parents[2]
UKULELE = Tuning("gCEA", (67, 60, 64, 69))


def move_cost(before: Grip, after: Grip, hand: Hand = CLOSED_HAND) -> float:
    """Return what the hand's way from one grip to another costs, the chords left aside."""
    return sum(cost for _, _, cost in move_terms(before, after, hand))


def chart_of(bars: str, *, meter: str = "4/4", key: str = "C", tempo: float = 140.0) -> Chart:
    """Read a one-section chart from its bars."""
    head = f"title: Test\nkey: {key}\nmeter: {meter}\ntempo: {tempo:g}\n\n[A]\n"
    return parse_chart(head + bars + "\n")


def roadmap_of(
    bars: str, *, choruses: int = 1, meter: str = "4/4", tempo: float = 140.0
) -> Roadmap:
    """Unroll the bars of a one-section chart."""
    return unroll(chart_of(bars, meter=meter, tempo=tempo), lane="plain", choruses=choruses)


def voice_roadmap(
    roadmap: Roadmap, tuning: Tuning, *, best: int = 1, **wishes: Any
) -> tuple[Voicing, ...]:
    """Return the ``best`` different voicings of a form; wishes as in :class:`GripRequest`."""
    return best_voicings(lay_out(GripRequest(roadmap, tuning, **wishes)), best)


def score_of(
    text: str = TUNE,
    style: BandStyle | None = None,
    *,
    choruses: int = 1,
    grips: str = "closed",
    extra_parts: tuple[str, ...] = (),
) -> Score:
    """Arrange the plain lane of a chart's text."""
    chart = parse_chart(text)
    voicing = voice(chart, lane="plain", grips=grips)
    roadmap = unroll(chart, lane="plain", choruses=choruses)
    return compose_score(chart, roadmap, voicing, style or BandStyle(), extra_parts=extra_parts)


def hand_made(
    *parts: PartScore,
    quarter_bpm: float = 120.0,
    ratio: float = 2.0,
    beats: int = 8,
    count_in_beats: int = 0,
    labels: tuple[Label, ...] = (),
    key: str = "C",
    seed: int = 0,
) -> Score:
    """Return a score of parts at one tempo and one swing ratio."""
    return Score(
        title="Hand made",
        parts=parts,
        tempo_map=TempoMap((TempoSegment(Fraction(0), quarter_bpm, ratio),)),
        labels=labels,
        count_in_beats=Fraction(count_in_beats),
        end_beats=Fraction(beats),
        key=key,
        seed=seed,
    )


def rides(beats: int) -> PartScore:
    """Return a ride cymbal in eighths."""
    hits = tuple(Hit(Fraction(half, 2), "ride") for half in range(2 * beats))
    return PartScore("drums", hits, "drums")


def walks(pitches: list[int]) -> PartScore:
    """Return a bass in quarters."""
    plucks = tuple(Pluck(Fraction(n), Fraction(1), pitch) for n, pitch in enumerate(pitches))
    return PartScore("bass", plucks, "bass")


def strums(*frets: tuple[int | None, ...], **details: object) -> PartScore:
    """Return one down stroke of a grip on every beat."""
    strokes = tuple(
        Stroke(Fraction(beat), Fraction(1), Grip(one, UKULELE), **details)  # type: ignore[arg-type]
        for beat, one in enumerate(frets)
    )
    return PartScore("chords", strokes, "ukulele")
