"""What a chart fixes of strings and frets: where it holds, and charts without it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace

from porchswing.chart.model import Bar, Chart, Section, Settings, Slot
from porchswing.errors import TuningError
from porchswing.grips.shapes.model import Tuning, VoicedSlot, Voicing
from porchswing.grips.shapes.tunings import tuning as tuning_of


def locks_hold(chart: Chart, tuning: Tuning) -> bool:
    """Say whether the grips locked in a chart sound the same chords on a tuning.

    They do where its strings have the notes of the chart's own tuning, in any octave.
    """
    try:
        own = tuning_of(chart.tuning)
    except TuningError:
        return False
    return _strings(own) == _strings(tuning)


def _strings(tuning: Tuning) -> tuple[tuple[int, ...], tuple[int, ...]]:
    return tuple(note % 12 for note in tuning.open_midi), tuning.used


def for_tuning(chart: Chart, tuning: Tuning) -> Chart:
    """Return a chart for a tuning, without what it fixes for other strings.

    Grips locked for strings of other notes would sound other chords, so they are ignored, and
    so is a line on a string that is not there. What the chart fixes for its own tuning stays.
    """
    if locks_hold(chart, tuning):
        return chart
    strings = {None, *(tuning.strings - index for index in tuning.used)}

    def fitting(said: Settings) -> Settings:
        keeps = said.line is None or said.line.string in strings
        return said if keeps else replace(said, line=None)

    return _with_settings(unlocked(chart), fitting)


def unlocked(chart: Chart, sections: Collection[str] | None = None) -> Chart:
    """Return a chart with the grip locks of some sections taken away, or all of them."""
    return replace(
        chart,
        sections=tuple(
            replace(
                section,
                plain=_unlocked(section.plain),
                swing=None if section.swing is None else _unlocked(section.swing),
            )
            if sections is None or section.name in sections
            else section
            for section in chart.sections
        ),
    )


def with_locks(chart: Chart, voicing: Voicing, sections: Collection[str] | None = None) -> Chart:
    """Return a chart whose lane has the chosen grips and their fingers as locks.

    ``sections`` names those to lock, ``None`` all. The voicing must be of this chart, each grip
    serving every pass of its section.
    """
    chosen = {(each.section, each.bar, each.slot): each for each in voicing.slots}

    def locked(section: Section) -> Section:
        bars: list[Bar] = []
        for number, bar in enumerate(section.lane(voicing.lane), 1):
            slots = tuple(
                _locked(slot, chosen.get((section.name, number, index)))
                for index, slot in enumerate(bar.slots)
            )
            percent = bar.is_percent and bool(bars) and bars[-1].slots == slots
            bars.append(replace(bar, slots=slots, is_percent=percent))
        new = tuple(bars)
        if voicing.lane == "plain" or section.swing is None:
            return replace(section, plain=new)
        return replace(section, swing=new)

    return replace(
        chart,
        sections=tuple(
            locked(each) if sections is None or each.name in sections else each
            for each in chart.sections
        ),
    )


def _locked(slot: Slot, chosen: VoicedSlot | None) -> Slot:
    if chosen is None or chosen.grip is None:
        return slot
    return replace(slot, chord=chosen.chord, lock=chosen.grip.frets, fingers=chosen.fingers)


def locked_sections(chart: Chart, lane: str) -> tuple[str, ...]:
    """Return the names of the sections with a locked grip in a lane."""
    return tuple(
        section.name
        for section in chart.sections
        if any(slot.lock is not None for bar in section.lane(lane) for slot in bar.slots)
    )


def _unlocked(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    return tuple(
        replace(bar, slots=tuple(replace(slot, lock=None, fingers=()) for slot in bar.slots))
        for bar in bars
    )


def unbound(chart: Chart) -> Chart:
    """Return a chart with every grip lock and fret window taken away."""
    return _with_settings(unlocked(chart), lambda said: replace(said, frets=None))


def _with_settings(chart: Chart, change: Callable[[Settings], Settings]) -> Chart:
    """Return a chart with all its settings changed, the header's and the sections'."""
    return replace(
        chart,
        settings=change(chart.settings),
        sections=tuple(
            replace(section, settings=tuple((bar, change(said)) for bar, said in section.settings))
            for section in chart.sections
        ),
    )
