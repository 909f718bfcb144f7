"""From a chart to passages and back: which bars follow which, and where a lane may be changed.

A written section is cut into *stretches* of bars that are always played straight through; at
their edges a bar may be followed by several others (A goes to A, to B, or to the ending). A
swap that leans on its neighbour must fit them all. Sections with the same bars form one
*group*, which is reharmonised once, so that they stay alike.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, starmap
from typing import NamedTuple

from porchswing.chart.model import Bar, Chart, Section, Slot
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import is_last_time, unroll
from porchswing.harmony.passage.keyfinder import Heard, find_keys
from porchswing.harmony.passage.steps import PULSES, BarSpan, Passage, Step, TuneNote
from porchswing.theory.keys import Key

BarId = tuple[str, int]
"""A written bar: its section's name and its index from 0."""


class Flow(NamedTuple):
    """What the form gives for every written bar.

    ``follows`` and ``precedes`` list the bars that may come next and before, ``None`` for the
    end and the beginning of the tune; ``keys`` gives the local key of every slot, ``times``
    how often one bar follows another.
    """

    follows: Mapping[BarId, tuple[BarId | None, ...]]
    precedes: Mapping[BarId, tuple[BarId | None, ...]]
    keys: Mapping[BarId, tuple[Key, ...]]
    tempo_bpm: Mapping[BarId, float]
    times: Mapping[tuple[BarId | None, BarId | None], int]

    def share(self, here: BarId, after: BarId | None) -> int:
        """Return how often a bar is followed by another one."""
        return self.times.get((here, after), 1)


def flow_of(chart: Chart) -> Flow:
    """Return the flow of a chart's plain lane, with the way back to the top in it."""
    twice = unroll(chart, lane="plain", choruses=2)
    if any(is_last_time(chart, name) for name in chart.form):
        return read_flow(chart, unroll(chart, lane="plain", choruses=3), heard_in=twice)
    return read_flow(chart, twice)


def read_flow(chart: Chart, roadmap: Roadmap, *, heard_in: Roadmap | None = None) -> Flow:
    """Read the flow from a roadmap of two choruses or more.

    The keys are those of ``heard_in`` where it is given. A section for the last time needs a
    third chorus to show what follows what, and must not change the keys of the tune by it.
    """
    ids = [(bar.section, bar.bar - 1) for bar in roadmap.bars]
    follows: dict[BarId, dict[BarId | None, None]] = {}
    precedes: dict[BarId, dict[BarId | None, None]] = {}
    times: Counter[tuple[BarId | None, BarId | None]] = Counter()
    for here, after in zip([None, *ids], [*ids, None], strict=True):
        times[here, after] += 1
        if here is not None:
            follows.setdefault(here, {})[after] = None
        if after is not None:
            precedes.setdefault(after, {})[here] = None
    tempo = {
        here: bar.settings.tempo_bpm or chart.tempo_bpm
        for here, bar in reversed(list(zip(ids, roadmap.bars, strict=True)))
    }
    return Flow(
        {bar: tuple(after) for bar, after in follows.items()},
        {bar: tuple(before) for bar, before in precedes.items()},
        _keys(chart, heard_in or roadmap),
        tempo,
        times,
    )


def _keys(chart: Chart, roadmap: Roadmap) -> dict[BarId, tuple[Key, ...]]:
    """Return the local key of every slot of every bar, as the bar is first heard.

    One chorus and the bar it comes back to are heard: what a key rests on is not counted
    twice, and a tune that visits another key comes home from there. What the first chorus does
    not play has the keys of the section whose place it takes, else those of all there is.
    """
    first = [bar for bar in roadmap.bars if bar.chorus < _AGAIN]
    again = [bar for bar in roadmap.bars if bar.chorus == _AGAIN][:1]
    keys = _heard_keys(chart, [*first, *again], again=_AGAIN)
    rest = [bar for bar in roadmap.bars if (bar.section, bar.bar - 1) not in keys]
    if rest:
        whole = _heard_keys(chart, roadmap.bars)
        for bar in rest:
            here, base = (bar.section, bar.bar - 1), (bar.base, bar.bar - 1)
            alike = base in keys and chart.section(bar.base).plain[bar.bar - 1].slots == bar.slots
            keys[here] = keys[base] if alike else whole[here]
    return keys


_AGAIN = 2
"""The chorus in which the tune has come back to its top."""


def _heard_keys(
    chart: Chart, bars: Sequence[PlayedBar], *, again: int | None = None
) -> dict[BarId, tuple[Key, ...]]:
    """Return the keys of bars that are played one after another, each as it is first heard.

    ``again`` is the chorus that has been heard before.
    """
    heard = tuple(
        Heard(slot.chord, slot.beats, bar.bar == 1 and place == 0, bar.chorus == again)
        for bar in bars
        for place, slot in enumerate(bar.slots)
    )
    found = iter(find_keys(heard, chart.key))
    keys: dict[BarId, tuple[Key, ...]] = {}
    for bar in bars:
        own = tuple(next(found) for _ in bar.slots)
        keys.setdefault((bar.section, bar.bar - 1), own)
    return keys


def groups(chart: Chart, flow: Flow, depth: Callable[[str], int]) -> tuple[tuple[str, ...], ...]:
    """Return the names of sections that shall stay alike, group by group, in file order.

    Those with the same bars and the same ``depth`` do, but one that always ends the tune leads
    nowhere and keeps to itself. Sections with a handwritten swing lane, and those the form never
    plays, are left out.
    """
    found: dict[object, list[str]] = {}
    for section in chart.sections:
        if section.swing is None and (section.name, 0) in flow.follows:
            last = is_last_time(chart, section.name)
            ends = flow.follows[section.name, len(section.plain) - 1] == (None,)
            alike = (section.plain, section.melody, depth(section.name), last, ends)
            found.setdefault(alike, []).append(section.name)
    return tuple(tuple(names) for names in found.values())


def stretches(section: Section, flow: Flow) -> tuple[range, ...]:
    """Return the section's bars as ranges that are always played straight through."""
    name, count = section.name, len(section.plain)
    joints = [
        index
        for index in range(1, count)
        if flow.follows.get((name, index - 1)) != ((name, index),)
        or flow.precedes.get((name, index)) != ((name, index - 1),)
    ]
    return tuple(starmap(range, pairwise([0, *joints, count])))


def passage(
    chart: Chart, members: Sequence[str], bars: range, flow: Flow, locked: Collection[BarId] = ()
) -> Passage:
    """Build the passage of a stretch from the plain lane of a group's first section."""
    section = chart.section(members[0])
    spans: list[BarSpan] = []
    steps: list[Step] = []
    melody: list[TuneNote] = []
    at = 0
    unit = chart.meter.unit_beats
    for index in bars:
        bar, here = section.plain[index], (section.name, index)
        kept = any((name, index) in locked for name in members)
        length = _pulses(bar.beats, unit)
        spans.append(BarSpan(section.name, index, at, length, bar.slots))
        steps += _bar_steps(bar, at, unit, flow.keys.get(here, ()), chart.key, kept=kept)
        note_at: Fraction | int = at
        for note in section.melody[index] if section.melody else ():
            melody.append(TuneNote(note_at, note.beats / unit * PULSES, note))
            note_at += melody[-1].pulses
        at += length
    grid = PULSES * (3 if chart.meter.is_compound else 1)
    tempo = max(flow.tempo_bpm.get((section.name, bar), chart.tempo_bpm) for bar in bars)
    return Passage(
        _merged(steps),
        tuple(spans),
        grid,
        60.0 / tempo,
        melody=tuple(melody),
        starts=tuple(span.start for span in spans),
    )


def _pulses(beats: Fraction, unit_beats: Fraction) -> int:
    """Return a length in pulses; charts are written in whole units of the meter."""
    return int(beats / unit_beats * PULSES)


def _bar_steps(
    bar: Bar, at: int, unit: Fraction, keys: Sequence[Key], header: Key, *, kept: bool
) -> list[Step]:
    """Turn one written bar into steps."""
    steps = []
    for place, slot in enumerate(bar.slots):
        key = keys[place] if place < len(keys) else header
        length = _pulses(slot.beats, unit)
        steps.append(Step(slot.chord, at, length, key, _freedom(slot, kept), slot.chord))
        at += length
    return steps


def _freedom(slot: Slot, kept: bool) -> str:
    """Say what may be done to a slot."""
    if kept or slot.chord is None or slot.lock is not None:
        return "kept"
    return "colour" if slot.marks else "free"


def _merged(steps: Iterable[Step]) -> tuple[Step, ...]:
    """Join neighbours with the same chord where both are free."""
    found: list[Step] = []
    for step in steps:
        last = found[-1] if found else None
        if last and last.freedom == step.freedom == "free" and last.chord == step.chord:
            found[-1] = last._replace(pulses=last.pulses + step.pulses)
        else:
            found.append(step)
    return tuple(found)


def edges(
    chart: Chart, flow: Flow, members: Iterable[str], index: int, *, last: bool, lane: str = "swing"
) -> tuple[Step | None, ...]:
    """Return a lane's written steps before (``last``) or after a bar, over a group's members."""
    ways, place = (flow.precedes, -1) if last else (flow.follows, 0)

    def written_edge(bar: BarId | None) -> Step | None:
        if bar is None:
            return None
        chord = chart.section(bar[0]).lane(lane)[bar[1]].slots[place].chord
        return Step(chord, 0, 0, flow.keys[bar][place], "kept", chord)

    return tuple(written_edge(bar) for name in members for bar in ways.get((name, index), ()))


def written(passage: Passage, plain: Sequence[Bar], unit_beats: Fraction) -> tuple[Bar, ...]:
    """Write a passage's steps back into bars; what did not change keeps its slots as written."""
    bars: list[Bar] = []
    first = 0
    for span in passage.spans:
        while passage.steps[first].end <= span.start:
            first += 1
        old = plain[span.bar_index]
        slots = _slots(passage.steps[first:], span, unit_beats)
        same = [(s.chord, s.beats) for s in old.slots] == [(s.chord, s.beats) for s in slots]
        new = old.slots if same else slots
        percent = old.is_percent and bool(bars) and bars[-1].slots == new
        bars.append(replace(old, slots=new, is_percent=percent))
    return tuple(bars)


def _slots(steps: Iterable[Step], span: BarSpan, unit_beats: Fraction) -> tuple[Slot, ...]:
    """Return the slots of one bar; playing marks and locks stay with their chord.

    A chord written twice running stays written twice.
    """
    starts: dict[int, Slot] = {}
    again = []
    at = span.start
    for place, slot in enumerate(span.slots):
        if place and slot.chord == span.slots[place - 1].chord:
            again.append(at)
        starts[at] = slot
        at += _pulses(slot.beats, unit_beats)
    found = []
    for step in steps:
        start, stop = max(step.start, span.start), min(step.end, at)
        if start >= stop:
            break
        cuts = [start, *(cut for cut in again if start < cut < stop), stop]
        for here, there in pairwise(cuts):
            old = starts.get(here)
            marks = old.marks if old and step.freedom != "free" else ()
            held = old if old and step.freedom == "kept" else None
            lock, fingers = (held.lock, held.fingers) if held else (None, ())
            beats = Fraction(there - here, PULSES) * unit_beats
            found.append(Slot(step.chord, beats, lock, marks, fingers=fingers))
    return tuple(found)
