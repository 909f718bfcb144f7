"""What is doubtful about the grips of a chart: locks that do not sound their chord."""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.chart.model import LANES, Chart, Section, Slot, SourcePlace
from porchswing.errors import Problem, TuningError
from porchswing.grips.names.naming import meant_grip, name_grip
from porchswing.grips.names.readings import sounds_chord
from porchswing.grips.shapes.fingers import fingering
from porchswing.grips.shapes.locks import for_tuning
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.theory.chords import Chord


def doubts(chart: Chart, tuning: str | Tuning | None = None) -> tuple[Problem, ...]:
    """Return what a teacher should look at again, in the order of the text.

    A grip locked under a chord it does not sound, and one that takes more fingers than a hand
    has. What cannot be played at all is found by :mod:`porchswing.grips.names.mistakes`.
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
