"""Drill forms: a hard spot turned into practice, as pure changes of style, roadmap or part.

A tempo ladder, phrases to listen to and then to play alone, a chord part that fades chorus by
chorus, a loop of two changes.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from porchswing.band.score import Event, PartScore
from porchswing.chart.model import Slot
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.errors import OptionError
from porchswing.grips.shapes.model import VoicedSlot, Voicing
from porchswing.options import BandStyle

LADDER_STEP = 0.045
"""Default step of a tempo ladder, a share of the tempo: convention, no published evidence.

The classic metronome's marks (40 to 60 by 2, to 72 by 3, to 120 by 4, to 144 by 6, to 208 by 8)
step by 3.4 to 5.6 %, 4.4 % on average.
"""

MOST_RUNGS = 64
SILENT_BELOW = 0.05
LOOP_SECTION = "drill"


def ladder_tempos(
    start_bpm: float, goal_bpm: float, step: float = LADDER_STEP
) -> tuple[float, ...]:
    """Return felt tempos that climb from start to goal in even steps of about ``step``.

    The steps are equal in ratio, as near to ``step`` as meets the goal exactly.

    >>> [round(bpm, 1) for bpm in ladder_tempos(80, 96)]
    [80, 83.7, 87.6, 91.7, 96]
    """
    if not 0 < start_bpm <= goal_bpm:
        raise OptionError(f"a ladder climbs: from {start_bpm:g} it cannot reach {goal_bpm:g}")
    if not 0.005 <= step <= 0.5:
        raise OptionError(f"a ladder's step must be from 0.005 to 0.5, got {step:g}")
    rungs = max(1, round(math.log(goal_bpm / start_bpm) / math.log1p(step)))
    if goal_bpm == start_bpm:
        return (start_bpm,)
    if rungs + 1 > MOST_RUNGS:
        raise OptionError(f"a ladder has at most {MOST_RUNGS} rungs, this one {rungs + 1}")
    ratio = goal_bpm / start_bpm
    inner = (start_bpm * ratio ** (rung / rungs) for rung in range(1, rungs))
    return (start_bpm, *inner, goal_bpm)


def on_ladder(style: BandStyle, tempos_bpm: Sequence[float]) -> BandStyle:
    """Return a style that plays each chorus at the next felt tempo; unroll as many choruses."""
    return replace(style, chorus_tempos_bpm=tuple(tempos_bpm))


def excerpt(roadmap: Roadmap, first: int, last: int, times: int = 1) -> Roadmap:
    """Return the played bars from index ``first`` to ``last`` (both from 0), ``times`` running."""
    if not 0 <= first <= last < len(roadmap.bars):
        raise OptionError(f"bars {first} to {last} are not among {len(roadmap.bars)} played bars")
    return in_a_row(roadmap, roadmap.bars[first : last + 1] * times)


def in_a_row(roadmap: Roadmap, bars: Sequence[PlayedBar]) -> Roadmap:
    """Return a roadmap of these bars one after another, their starts counted anew from 0."""
    start, placed = Fraction(0), []
    for bar in bars:
        placed.append(replace(bar, start_beats=start))
        start += bar.beats
    return replace(roadmap, bars=tuple(placed))


def doubled_phrases(roadmap: Roadmap, phrase_bars: int) -> Roadmap:
    """Return a roadmap that plays every phrase twice running: once to hear, once to play."""
    _check_phrase(phrase_bars)
    bars: list[PlayedBar] = []
    for start in range(0, len(roadmap.bars), phrase_bars):
        phrase = roadmap.bars[start : start + phrase_bars]
        bars.extend((*phrase, *phrase))
    return in_a_row(roadmap, bars)


def in_alternate_phrases(part: PartScore, roadmap: Roadmap, phrase_bars: int) -> PartScore:
    """Return a part that plays every first phrase and leaves every second to the student.

    An event belongs to the phrase it starts in, and stops where that phrase ends.
    """
    _check_phrase(phrase_bars)
    edges = [*(bar.start_beats for bar in roadmap.bars[::phrase_bars]), roadmap.beats]
    events = []
    for event in part.events:
        phrase = bisect_right(edges, event.onset_beats)  # from 1; 0 lies before the first
        if phrase % 2 and phrase < len(edges):
            room = edges[phrase] - event.onset_beats
            events.append(replace(event, duration_beats=min(event.duration_beats, room)))
    return replace(part, events=tuple(events))


def fading_by_chorus(part: PartScore, roadmap: Roadmap) -> PartScore:
    """Return a part softer each chorus, evenly from full in the first one to silent in the last.

    What falls below a twentieth is left out.
    """
    bars = roadmap.bars
    steps = max(max((bar.chorus for bar in bars), default=1) - 1, 1)
    starts = [bar.start_beats for bar in bars]
    events: list[Event] = []
    for event in part.events:
        bar = bars[max(0, bisect_right(starts, event.onset_beats) - 1)]
        level = 1.0 - (max(bar.chorus, 1) - 1) / steps
        if level >= SILENT_BELOW:
            events.append(replace(event, velocity=round(event.velocity * level, 4)))
    return replace(part, events=tuple(events))


def change_loop(
    roadmap: Roadmap,
    voicing: Voicing,
    before: VoicedSlot,
    after: VoicedSlot,
    *,
    beats_each: Fraction | None = None,
    times: int = 8,
) -> tuple[Roadmap, Voicing]:
    """Return a roadmap that goes back and forth between two grips of another, and its voicing.

    ``beats_each`` is how long each grip lasts in quarters: a bar (the default) or half of one.
    ``times`` counts the ways there and back. Meter, tempo and settings are those of ``roadmap``
    and of its first bar; the section is called ``drill``.
    """
    bar_beats = roadmap.meter.bar_beats
    each = bar_beats if beats_each is None else beats_each
    if each not in {bar_beats, bar_beats / 2}:
        raise OptionError(f"each grip lasts a bar ({bar_beats} beats) or half of one, got {each}")
    if times < 1:
        raise OptionError(f"times must be at least 1, got {times}")
    per_bar = int(bar_beats / each)
    slots, voiced = [], []
    for number, found in enumerate((before, after)):
        bar, slot = divmod(number, per_bar)
        beat = 1 + slot * each / roadmap.meter.unit_beats
        written = "N.C." if found.chord is None else found.chord.symbol
        slots.append(Slot(found.chord, each, written=written))
        moved = replace(found, section=LOOP_SECTION, bar=bar + 1, slot=slot, beat=Fraction(beat))
        voiced.append(replace(moved, pass_number=0))
    round_trip = [
        PlayedBar(
            section=LOOP_SECTION,
            base=LOOP_SECTION,
            bar=start // per_bar + 1,
            pass_number=1,
            chorus=1,
            role="form",
            start_beats=Fraction(0),
            beats=bar_beats,
            slots=tuple(slots[start : start + per_bar]),
            settings=roadmap.bars[0].settings,
        )
        for start in range(0, len(slots), per_bar)
    ]
    bars = [replace(bar, pass_number=turn + 1) for turn in range(times) for bar in round_trip]
    loop = in_a_row(replace(roadmap, title=LOOP_SECTION), bars)
    return loop, replace(voicing, slots=tuple(voiced))


def _check_phrase(phrase_bars: int) -> None:
    if phrase_bars < 1:
        raise OptionError(f"a phrase has at least one bar, got {phrase_bars}")
