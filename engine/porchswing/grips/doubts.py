"""What is doubtful about the grips of a chart: locks that do not sound their chord, and more."""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.chart.model import LANES, Chart, Section, Slot
from porchswing.errors import GripError, Problem, TuningError
from porchswing.grips.enumerate import need_grips
from porchswing.grips.fingers import fingering
from porchswing.grips.hand import CLOSED_HAND, OPEN_HAND
from porchswing.grips.locks import for_tuning
from porchswing.grips.model import Grip, Tuning
from porchswing.grips.naming import name_grip
from porchswing.grips.readings import sounds_chord
from porchswing.grips.slips import meant_grip
from porchswing.grips.tunings import tuning as tuning_of
from porchswing.theory.chords import Chord


def doubts(chart: Chart, tuning: str | Tuning | None = None) -> tuple[Problem, ...]:
    """Return what a teacher should look at again, in the order of the text.

    A grip locked under a chord it does not sound, one with too many or too few frets or more
    fingers than a hand has, and a chord that has no closed or open grip on the tuning.
    """
    try:
        chosen = tuning_of(tuning or chart.tuning)
    except TuningError as error:
        return (Problem(chart.file, 1, 1, str(error)),)
    chart = for_tuning(chart, chosen)  # as voice does
    found: list[Problem] = []
    for section in chart.sections:
        for slot, following in _slots(section):
            found += _slot_doubts(chart, slot, following, chosen)
    return tuple(sorted(found, key=lambda problem: (problem.line, problem.column)))


def _slots(section: Section) -> Iterator[tuple[Slot, Chord | None]]:
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
    if slot.chord is None:
        return
    if slot.lock is None:
        if not _has_grip(slot.chord, tuning):
            yield _problem(chart, slot, *_no_grip(slot.chord, tuning))
        return
    if len(slot.lock) != tuning.strings:
        message = f"{len(slot.lock)} frets are locked, {tuning.name} has {tuning.strings} strings"
        yield _problem(chart, slot, message, "one fret a string, the highest-numbered first")
        return
    grip = Grip(slot.lock, tuning)
    if not sounds_chord(grip, slot.chord):
        naming = name_grip(slot.lock, tuning, before=following, key=chart.key)
        heard = f"it sounds {naming.readings[0]}" if naming.readings else "it has no name we know"
        meant = meant_grip(grip, slot.chord)
        hint = f"for {slot.chord} you may mean {meant}" if meant else ""
        yield _problem(chart, slot, f"{grip} does not sound {slot.chord}: {heard}", hint)
    if fingering(slot.lock) is None:
        yield _problem(chart, slot, f"{grip} takes more than four fingers", "")


def _has_grip(chord: Chord, tuning: Tuning) -> bool:
    for hand, kind in ((CLOSED_HAND, "closed"), (OPEN_HAND, "open")):
        try:
            need_grips(chord, tuning, hand, kind=kind)
        except GripError:
            continue
        return True
    return False


def _no_grip(chord: Chord, tuning: Tuning) -> tuple[str, str]:
    try:
        need_grips(chord, tuning, CLOSED_HAND, kind="closed")
    except GripError as error:
        message, _, hint = str(error).partition("; ")
        return message, hint
    return "", ""


def _problem(chart: Chart, slot: Slot, message: str, hint: str) -> Problem:
    place = slot.place
    return Problem(chart.file, place.line, place.column, message, hint, width=max(1, place.width))
