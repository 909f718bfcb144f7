"""The stretch around one place, and the lane that results when other chords are put there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from porchswing.chart.model import Bar, Chart
from porchswing.errors import OptionError
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.passage.flow import BarId, Flow, edges, flow_of, passage, stretches
from porchswing.harmony.passage.leading import leads_to, stands_for
from porchswing.harmony.passage.steps import PULSES, BarSpan, Need, Passage, Step
from porchswing.theory.chords import Chord

LANE_DEPTH = 2
"""The depth of the lane around the place, where none was written."""

Bare = tuple[tuple[Chord | None, int], ...]
"""The chords of one bar, each with its length in pulses."""
Played = tuple[tuple[str, ...], tuple[Fraction, ...]]
"""The chords of one bar: symbols, and lengths in quarters."""


def whatever_its_spelling(bar: Bare) -> tuple[object, ...]:
    """Return what tells a bar from another: its chords as sounds, and their lengths."""
    return tuple(
        (chord and (chord.root.pc, chord.quality.suffix, chord.bass_note.pc), pulses)
        for chord, pulses in bar
    )


@dataclass(frozen=True, slots=True)
class PlaceScene:
    """The stretch around a place: ``view`` as written, ``lane`` as played now, in pulses.

    ``before`` and ``after`` are the chords that may be beside the stretch in the played lane.
    """

    view: Passage
    lane: tuple[Step, ...]
    before: tuple[Chord, ...]
    after: tuple[Chord | None, ...]
    unit_beats: Fraction

    def span(self, bar: int) -> BarSpan:
        """Return the span of a bar, counted from 1 in its section."""
        return next(span for span in self.view.spans if span.bar_index == bar - 1)

    def written_at(self, pulse: int) -> int:
        """Return the index of the written step that sounds at a pulse."""
        return next(n for n, step in enumerate(self.view.steps) if step.end > pulse)

    def bars(self, lane: Sequence[Step]) -> tuple[Bare, ...]:
        """Return every bar of a lane as chords and their lengths in pulses."""
        found, place = [], 0
        for span in self.view.spans:
            end = span.start + span.pulses
            inside = []
            while place < len(lane):
                step = lane[place]
                inside.append((step.chord, min(step.end, end) - max(step.start, span.start)))
                if step.end > end:
                    break
                place += 1
                if step.end == end:
                    break
            found.append(tuple(inside))
        return tuple(found)

    def laid(self, steps: Sequence[Step], now: Sequence[Bare]) -> dict[int, Bare]:
        """Return the bars that some steps touch, by place, with the steps laid over ``now``."""
        start, end, found = steps[0].start, steps[-1].end, {}
        for place, span in enumerate(self.view.spans):
            if span.start >= end or span.start + span.pulses <= start:
                continue
            at, front, rest = span.start, [], []
            for chord, pulses in now[place]:
                if at < start:
                    front.append((chord, min(pulses, start - at)))
                if at + pulses > end:
                    rest.append((chord, min(pulses, at + pulses - end)))
                at += pulses
            inside = [
                (step.chord, min(step.end, at) - max(step.start, span.start))
                for step in steps
                if step.start < at and step.end > span.start
            ]
            found[place] = (*front, *inside, *rest)
        return found

    def played(self, bar: Bare) -> Played:
        """Return a bar as symbols and lengths in quarters."""
        symbols = tuple(chord.symbol if chord else "N.C." for chord, _ in bar)
        return symbols, tuple(Fraction(pulses, PULSES) * self.unit_beats for _, pulses in bar)

    def joined(self, steps: tuple[Step, ...]) -> tuple[Step, ...] | None:
        """Return the played lane with steps put in, ``None`` where they cannot meet it.

        A neighbour that they do not fit, or that no longer leads anywhere, goes back to the
        written chord.
        """
        start, end = steps[0].start, steps[-1].end
        rest = _cut(self.lane, end, self.view.steps[-1].end)
        if rest and not _met(steps[-1].after, [rest[0].chord]):
            rest = self._written_again(rest, end, rest[0].end)
        follow: Iterable[Chord | None] = [rest[0].chord] if rest else self.after
        if not _met(steps[-1].after, follow):
            return None
        front = self._front(_cut(self.lane, 0, start), steps[0])
        return None if front is None else (*front, *steps, *rest)

    def _front(self, front: tuple[Step, ...], goal: Step) -> tuple[Step, ...] | None:
        """Return what comes before a step, chord by chord back to the last that still leads on."""
        place = len(front)
        while place:
            left, wanted = front[place - 1], goal.before if place == len(front) else ()
            after = front[place] if place < len(front) else goal
            plain = self.view.steps[self.written_at(left.start)].chord
            if _met(wanted, [left.chord]) and _leads(left.chord, plain, after.chord):
                return front
            if left.chord == plain:
                return None
            back = self._written_again(front, left.start, left.end)
            place -= 1
            front = back
        return front if front or _met(goal.before, self.before) else None

    def _written_again(self, lane: tuple[Step, ...], start: int, end: int) -> tuple[Step, ...]:
        """Return a lane with the written chords back from one pulse to another."""
        last = self.view.steps[-1].end
        back = _cut(self.view.steps, start, end)
        return (*_cut(lane, 0, start), *back, *_cut(lane, end, last))


@lru_cache(maxsize=64)
def scene_at(chart: Chart, section: str, bar: int) -> PlaceScene:
    """Return the scene of a bar, counted from 1.

    Raises
    ------
    OptionError
        For a section or a bar the chart does not have.
    """
    bars = {each.name: len(each.plain) for each in chart.sections}
    if section not in bars:
        names = ", ".join(bars)
        raise OptionError(f"unknown section {section!r}; the sections are {names}")
    if not 1 <= bar <= bars[section]:
        raise OptionError(f"bar must be 1 to {bars[section]} in section {section}, got {bar}")
    played = _played_chart(chart)
    chart = _as_typed(played, chart)
    flow, written = _flow(chart), chart.section(section)
    here = next(part for part in stretches(written, flow) if bar - 1 in part)
    view = passage(chart, (section,), here, flow)
    exits = edges(chart, flow, (section,), here[-1], last=False)
    view = replace(
        view,
        entries=_on(edges(chart, flow, (section,), here[0], last=True)),
        exits=_on(exits),
        weights=_weights(flow, (section, here[-1]), exits),
        asked=True,
    )
    ways = edges(played, flow, (section,), here[0], last=True)
    outs = _on(edges(played, flow, (section,), here[-1], last=False))
    return PlaceScene(
        view,
        _lane(view, played.section(section).lane("swing"), chart.meter.unit_beats),
        tuple(way.chord for way in ways if way is not None and way.chord is not None),
        tuple(way.chord if way else None for way in outs),
        chart.meter.unit_beats,
    )


def _as_typed(played: Chart, chart: Chart) -> Chart:
    """Return the played chart without the lanes that were made for it.

    It keeps a section for the last time: what that leads to is no way out of the other times.
    """
    typed = {each.name for each in chart.sections if each.swing is not None}
    sections = (
        each if each.name in typed else replace(each, swing=None) for each in played.sections
    )
    return replace(played, sections=tuple(sections))


def _on(ways: tuple[Step | None, ...]) -> tuple[Step | None, ...]:
    """Return the ways on without the beginning and the end of the tune, where there are others."""
    return tuple(way for way in ways if way is not None) or ways


def _weights(flow: Flow, last: BarId, ways: tuple[Step | None, ...]) -> tuple[float, ...]:
    """Return how often each way out of a bar is taken, without the end where there are others."""
    shares = [float(flow.share(last, bar)) for bar in flow.follows.get(last, ())]
    kept = tuple(share for share, way in zip(shares, ways, strict=True) if way is not None)
    return kept or tuple(shares)


@lru_cache(maxsize=8)
def _flow(chart: Chart) -> Flow:
    return flow_of(chart)


@lru_cache(maxsize=8)
def _played_chart(chart: Chart) -> Chart:
    """Return the chart with a swing lane everywhere, made where none was written."""
    if all(section.swing is not None for section in chart.sections):
        return chart
    return reharmonize(chart, LANE_DEPTH).chart


def _lane(view: Passage, bars: tuple[Bar, ...], unit_beats: Fraction) -> tuple[Step, ...]:
    """Return written bars as steps over the spans of a stretch, like neighbours joined."""
    steps: list[Step] = []
    for span in view.spans:
        at = span.start
        for slot in bars[span.bar_index].slots:
            length = int(slot.beats / unit_beats * PULSES)
            if steps and steps[-1].chord == slot.chord:
                steps[-1] = steps[-1]._replace(pulses=steps[-1].pulses + length)
            else:
                steps.append(Step(slot.chord, at, length, view.steps[0].key))
            at += length
    return tuple(steps)


def _cut(lane: Iterable[Step], start: int, end: int) -> tuple[Step, ...]:
    """Return the part of a lane between two pulses, its outer steps shortened."""
    found = []
    for step in lane:
        first, last = max(step.start, start), min(step.end, end)
        if (first, last - first) == (step.start, step.pulses):
            found.append(step)
        elif first < last:
            found.append(step._replace(start=first, pulses=last - first))
    return tuple(found)


def _met(needs: Iterable[Need], chords: Iterable[Chord | None]) -> bool:
    """Whether all of some neighbours are what is needed, half of them for a soft need."""
    neighbours = tuple(chords)
    for need in needs:
        met = sum(need.met(chord) for chord in neighbours)
        if met < len(neighbours) and not (need.soft and 2 * met >= len(neighbours)):
            return False
    return True


def _leads(left: Chord | None, plain: Chord | None, after: Chord | None) -> bool:
    """Whether a chord still has its function: it stands for the written one, or leads on."""
    if left is None or plain is None or after is None:
        return True
    return stands_for(left, plain) or leads_to(left, after)
