"""What is wrong with the grips of a chart, and what is doubtful.

Doubtful are locks that do not sound their chord. Mistakes are what no hand can play, so that
rendering would refuse it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from porchswing.chart.model import LANES, Bar, Chart, Section, Slot, SourceLine, SourcePlace
from porchswing.chart.unroll import LAST_TIME
from porchswing.errors import GripError, Problem, TuningError, UnplayableError
from porchswing.grips.names.naming import meant_grip, name_grip
from porchswing.grips.names.readings import sounds_chord
from porchswing.grips.search.voice import chart_of, voice
from porchswing.grips.shapes.fingers import fingering
from porchswing.grips.shapes.locks import for_tuning
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.theory.chords import Chord

MOST_BARS = 20
"""Most bars reported as impossible in one run."""


def doubts(chart: Chart, tuning: str | Tuning | None = None) -> tuple[Problem, ...]:
    """Return what a teacher should look at again, in the order of the text.

    A grip locked under a chord it does not sound, and one that takes more fingers than a hand
    has. What cannot be played at all is found by :func:`mistakes`.
    """
    try:
        chosen = tuning_of(tuning or chart.tuning)
    except TuningError:
        return ()
    chart = for_tuning(chart, chosen)  # as voice does
    found: list[Problem] = []
    for section in chart.sections:
        for slot, following in written_slots(section):
            found += _slot_doubts(chart, slot, following, chosen)
    return tuple(sorted(found, key=lambda problem: (problem.line, problem.column)))


def written_slots(section: Section) -> Iterator[tuple[Slot, Chord | None]]:
    """Yield every written slot of both lanes with the chord that comes after it."""
    for lane in LANES:
        if lane == "swing" and section.swing is None:
            continue
        written = [slot for bar in section.lane(lane) if not bar.is_percent for slot in bar.slots]
        chords = [slot.chord for slot in written]
        for place, slot in enumerate(written):
            later = (chord for chord in chords[place + 1 :] if chord and chord != slot.chord)
            yield slot, next(later, None)


def _slot_doubts(
    chart: Chart, slot: Slot, following: Chord | None, tuning: Tuning
) -> Iterator[Problem]:
    if slot.chord is None or slot.lock is None or len(slot.lock) != tuning.strings:
        return
    grip = Grip(slot.lock, tuning)
    if not sounds_chord(grip, slot.chord):
        naming = name_grip(slot.lock, tuning, before=following, key=chart.key)
        heard = f"it sounds {naming.readings[0]}" if naming.readings else "it has no name we know"
        meant = meant_grip(grip, slot.chord)
        hint = f"for {slot.chord} you may mean {meant}" if meant else ""
        yield problem_at(chart, slot.place, f"{grip} does not sound {slot.chord}: {heard}", hint)
    if fingering(slot.lock) is None:
        yield problem_at(chart, slot.place, f"{grip} takes more than four fingers")


def problem_at(chart: Chart, place: SourcePlace, message: str, hint: str = "") -> Problem:
    """Return a problem of a chart at a place of its text."""
    line, column, width = (max(1, number) for number in (place.line, place.column, place.width))
    return Problem(chart.file, line, column, message, hint, width=width)


def mistakes(chart: Chart) -> tuple[Problem, ...]:
    """Return what stops a chart from being played, in the order of the text.

    An unknown tuning, a lock with too many or too few frets, a line on a string that is not
    there, and bars whose chord has no grip, in the plain lane or in the swing lane, whether
    written or made.
    """
    try:
        chosen = tuning_of(chart.tuning)
    except TuningError as error:
        return (_at_row(chart, chart.rows, "tuning", 1, str(error)),)
    found = [*_locks(chart, chosen), *_lines(chart, chosen)]
    if not found:
        for lane in LANES:
            found += _unplayable(chart, lane)
    unique = {(p.line, p.column, p.message): p for p in found}
    return tuple(sorted(unique.values(), key=lambda problem: (problem.line, problem.column)))


def _locks(chart: Chart, tuning: Tuning) -> Iterator[Problem]:
    for section in chart.sections:
        for slot, _ in written_slots(section):
            if slot.lock is not None and len(slot.lock) != tuning.strings:
                message = (
                    f"{len(slot.lock)} frets are locked, {tuning.name} has {tuning.strings} strings"
                )
                hint = "one fret a string, the highest-numbered first"
                yield problem_at(chart, slot.place, message, hint)


def _lines(chart: Chart, tuning: Tuning) -> Iterator[Problem]:
    """Yield a problem for each line asked of a string that grips do not use."""
    strings = {None, *(tuning.strings - index for index in tuning.used)}
    message = f"{tuning.name} has no such string to carry a line"
    if chart.settings.line and chart.settings.line.string not in strings:
        yield _at_row(chart, chart.rows, "line", 1, message)
    for section in chart.sections:
        if any(said.line and said.line.string not in strings for _, said in section.settings):
            yield _at_row(chart, section.rows, "line", section.place.line, message)


def _unplayable(chart: Chart, lane: str) -> Iterator[Problem]:
    """Yield a problem for each bar that has no grip, by trying the lane without it again."""
    trial = chart_of(reharmonize(chart)) if lane == "swing" else chart
    for _ in range(MOST_BARS):
        try:
            voice(trial, lane=lane)
        except UnplayableError as error:
            message, _, hint = error.message.partition("; ")
            yield problem_at(chart, _bar_place(chart, lane, error), message, hint)
            trial = _silenced(trial, error)
        except GripError as error:
            yield Problem(chart.file, 1, 1, str(error))
            return
        else:
            return


def _bar_place(chart: Chart, lane: str, error: UnplayableError) -> SourcePlace:
    """Return where the bar's first chord was written."""
    # the reharmoniser may give a section a last time of its own; it was written once
    written = chart.section(error.section.removesuffix(LAST_TIME))
    return written.lane(lane)[error.bar - 1].slots[0].place


def _silenced(chart: Chart, error: UnplayableError) -> Chart:
    """Return a chart with one bar silent in both lanes."""

    def silent(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
        bar = bars[error.bar - 1]
        rests = tuple(replace(slot, chord=None, lock=None, fingers=()) for slot in bar.slots)
        return (*bars[: error.bar - 1], replace(bar, slots=rests), *bars[error.bar :])

    def changed(section: Section) -> Section:
        if section.name != error.section:
            return section
        swing = None if section.swing is None else silent(section.swing)
        return replace(section, plain=silent(section.plain), swing=swing)

    return replace(chart, sections=tuple(changed(section) for section in chart.sections))


def _at_row(
    chart: Chart, rows: tuple[SourceLine, ...], key: str, first: int, message: str
) -> Problem:
    """Return a problem at the value of a header or setting line, counted from its first row."""
    message, _, hint = message.partition("; ")
    for number, row in enumerate(rows, first):
        if row.key == key and row.kind in ("header", "setting"):
            value = row.text.partition(":")[2]
            column = len(row.text) - len(value.lstrip()) + 1
            return Problem(
                chart.file, number, column, message, hint, row.text, max(1, len(value.strip()))
            )
    return Problem(chart.file, first, 1, message, hint)
