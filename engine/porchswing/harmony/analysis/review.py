"""What is doubtful about the harmony of a handwritten swing lane.

The plain lane is the measure: a chord of the swing lane may be any colour, swap or approach of
it, and what is none of these is worth a second look. Common practice, no single source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from porchswing.chart.model import Chart, Section, Slot
from porchswing.errors import Problem
from porchswing.harmony.passage.flow import Flow, flow_of, passage
from porchswing.harmony.passage.functions import is_dominant
from porchswing.harmony.passage.leading import leads_to, stands_for
from porchswing.harmony.passage.melody_guard import clash
from porchswing.harmony.passage.steps import PULSES, Passage, Step, at
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, simplified
from porchswing.theory.notes import Degree, NoteName, note_at


class _Placed(NamedTuple):
    """A swing slot with its place in the section and what is around it."""

    slot: Slot
    chord: Chord
    start: int
    end: int
    key: Key
    before: Chord | None
    afters: tuple[Chord, ...]
    ends: bool
    """Whether the tune may end with it."""


def review(chart: Chart) -> tuple[Problem, ...]:
    """Return what a teacher should look at again in the swing lanes written by hand.

    A swap that loses the function of the plain chord, a clash with the melody lane, a tritone
    substitute that does not resolve, and a root spelled against its key.
    """
    if all(section.swing is None for section in chart.sections):
        return ()
    flow = flow_of(chart)
    found: list[Problem] = []
    for section in chart.sections:
        if section.swing is not None and (section.name, 0) in flow.follows:
            for placed, message, hint in _doubts(chart, section, flow):
                spot, width = placed.slot.place, max(1, len(placed.slot.written))
                found.append(
                    Problem(chart.file, spot.line, spot.column, message, hint, width=width)
                )
    return tuple(sorted(found, key=lambda problem: (problem.line, problem.column)))


def _doubts(chart: Chart, section: Section, flow: Flow) -> Iterator[tuple[_Placed, str, str]]:
    """Yield the doubts about one section's swing lane."""
    view = passage(chart, (section.name,), range(len(section.plain)), flow)
    for placed in _placed(section, chart, flow):
        under = [s for s in view.steps if s.start < placed.end and placed.start < s.end]
        if all(step.chord is None or step.chord.root != placed.chord.root for step in under):
            yield from _spelling(placed)
        yield from _melody(view, placed, under)
        yield from _eleventh(placed)
        unresolved = list(_no_dominant(view, placed, under)) or list(_tritone(placed, under))
        yield from unresolved
        if not unresolved and not _belongs(placed, under):
            names = " ".join(str(step.chord) for step in under)
            message = f"{placed.chord} does not do what {names} does here"
            yield placed, message, _function_hint(under)


def _eleventh(placed: _Placed) -> Iterator[tuple[_Placed, str, str]]:
    """Yield a doubt where a chord holds the natural eleventh over its major third."""
    quality = placed.chord.quality
    if quality.has("3") and quality.has("11"):
        message = f"{placed.chord} holds the eleventh over its major third"
        yield placed, message, f"write {placed.chord.root}9sus4, or leave the eleventh out"


def _no_dominant(
    view: Passage, placed: _Placed, under: Sequence[Step]
) -> Iterator[tuple[_Placed, str, str]]:
    """Yield a doubt where V has no dominant left: a major seventh on it, or its ii alone."""
    at_rest = {"major", "minor"}
    for index, step in enumerate(view.steps):
        if step not in under or step.chord is None or not is_dominant(view, index):
            continue
        root, family = step.chord.root.pc, placed.chord.quality.family
        if placed.chord.root.pc == root and family == "major" and placed.chord.quality.has("7"):
            message = f"{placed.chord} has no tritone, and {step.chord} leads by its tritone"
            yield placed, message, f"write {placed.chord.root}7 or a colour of it"
        two = (placed.chord.root.pc - root) % 12 == 7 and family in ("minor", "half-diminished")
        fills = placed.start <= step.start and placed.end >= step.end
        goes_home = placed.afters and all(
            after.quality.family in at_rest and (root - after.root.pc) % 12 == 7
            for after in placed.afters
        )
        if two and fills and goes_home:
            message = f"{placed.chord} is left standing for {step.chord}"
            yield placed, message, f"let {step.chord.root}7 follow before the goal"


def _placed(section: Section, chart: Chart, flow: Flow) -> list[_Placed]:
    """Return the swing slots with chords, in order, with their neighbours over the seams."""
    unit = chart.meter.unit_beats
    rows: list[tuple[Slot, int, Key]] = []
    pulse = 0
    for index, bar in enumerate(section.lane("swing")):
        keys = flow.keys.get((section.name, index), (chart.key,))
        for slot in bar.slots:
            rows.append((slot, pulse, keys[0]))
            pulse += int(slot.beats / unit * PULSES)
    chords = [slot.chord for slot, _, _ in rows]
    ways_on = flow.follows[section.name, len(section.plain) - 1]
    seams = [
        chart.section(name).lane("swing")[index].slots[0].chord
        for name, index in filter(None, ways_on)
    ]
    return [
        _Placed(
            slot,
            slot.chord,
            start,
            start + int(slot.beats / unit * PULSES),
            key,
            _other(chords[:place][::-1], slot.chord),
            _afters(chords[place + 1 :], slot.chord, seams),
            None in ways_on and _other(chords[place + 1 :], slot.chord) is None,
        )
        for place, (slot, start, key) in enumerate(rows)
        if slot.chord is not None
    ]


def _other(chords: Sequence[Chord | None], own: Chord) -> Chord | None:
    """Return the first chord on another root; the same one with another colour is no move."""
    return next((c for c in chords if c is not None and c.root.pc != own.root.pc), None)


def _afters(
    chords: Sequence[Chord | None], own: Chord, seams: Sequence[Chord | None]
) -> tuple[Chord, ...]:
    """Return the chord that comes next, or all that may where the section ends."""
    found = _other(chords, own)
    return (found,) if found else tuple(chord for chord in seams if chord is not None)


def _belongs(placed: _Placed, under: Sequence[Step]) -> bool:
    """Whether a swing chord stands for a plain chord it sounds over, or leads to what follows."""
    if any(stands_for(placed.chord, step.chord) for step in under if step.chord):
        return True
    pedal = placed.chord.bass
    if pedal and any(step.chord and step.chord.root.pc == pedal.pc for step in under):
        return True  # the bass stays on the written root
    is_home = placed.chord.root.pc == placed.key.tonic.pc
    if is_home and (placed.ends or not placed.afters):
        return True  # home at the very end of the tune
    return any(
        leads_to(placed.chord, after)
        or _slides(placed.before, placed.chord, after)
        or _passes(placed, after)
        for after in placed.afters
    )


def _passes(placed: _Placed, after: Chord) -> bool:
    """Whether a chord of the key is on the step between its neighbours: I ii iii."""
    if placed.before is None or placed.chord.root not in placed.key.scale:
        return False
    moves = {
        (one.root.pc - other.root.pc) % 12
        for one, other in ((placed.before, placed.chord), (placed.chord, after))
    }
    return placed.chord.quality.family == "minor" and (moves <= {1, 2} or moves <= {10, 11})


def _slides(two: Chord | None, five: Chord, after: Chord) -> bool:
    """Whether a ii–V is a semitone above the chord it slides down to."""
    if two is None or five.quality.family != "dominant" or two.quality.family != "minor":
        return False
    falls = (two.root.pc - five.root.pc) % 12 == 7
    return falls and (two.root.pc - after.root.pc) % 12 == 1


def _function_hint(under: Sequence[Step]) -> str:
    names = " or ".join(str(step.chord) for step in under if step.chord)
    return f"keep a colour of {names}, or let the chord lead to the next one" if names else ""


def _tritone(placed: _Placed, under: Sequence[Step]) -> Iterator[tuple[_Placed, str, str]]:
    """Yield a doubt where a tritone substitute does not fall a semitone."""
    for step in under:
        if step.chord is None or step.family != "dominant":
            continue
        rise = (placed.chord.root.pc - step.chord.root.pc) % 12
        if placed.chord.quality.family != "dominant" or rise != 6 or not placed.afters:
            continue
        falls = {(placed.chord.root.pc - after.root.pc) % 12 for after in placed.afters}
        slides_up = {11} if step.degree == 5 else set()  # IV7, bV7, and up into I
        if not falls & {1, 7, 6, *slides_up}:
            goals = " or ".join(str(after) for after in placed.afters)
            message = f"{placed.chord} for {step.chord} does not resolve to {goals}"
            goal = at(placed.chord.root, "7")
            yield placed, message, f"a tritone substitute falls a semitone, here to {goal}"


def _melody(
    view: Passage, placed: _Placed, under: Sequence[Step]
) -> Iterator[tuple[_Placed, str, str]]:
    """Yield a doubt where the melody lane forbids the chord."""
    plain = under[0].chord if under else None
    step = Step(placed.chord, placed.start, placed.end - placed.start, placed.key, "free", plain)
    falls = any((placed.chord.root.pc - after.root.pc) % 12 == 7 for after in placed.afters)
    found = clash(view, step, flat_nine=falls)
    if found is not None:
        note = found.note.written or f"MIDI note {found.note.pitch}"
        yield placed, found.reason, f"the melody there is {note}"


def _spelling(placed: _Placed) -> Iterator[tuple[_Placed, str, str]]:
    """Yield a doubt where a root is spelled against its key and its neighbours."""
    root = placed.chord.root
    passing = placed.chord.quality.family == "diminished"
    good = fitting_spellings(root.pc, placed.key, placed.before, placed.afters, passing=passing)
    if root not in good:
        better = good[0]
        message = f"{root} is spelled against the key of {placed.key}"
        bass = f"/{placed.chord.bass}" if placed.chord.bass else ""
        yield placed, message, f"write {better}{placed.chord.quality.suffix}{bass}"


def fitting_spellings(
    pc: int,
    key: Key,
    before: Chord | None = None,
    afters: Sequence[Chord] = (),
    *,
    passing: bool = False,
) -> tuple[NoteName, ...]:
    """Return the spellings of a root that make sense, the best first.

    Those of the key, and those that show the way: a fifth or a semitone above the next root, a
    semitone below it, or a semitone above or below the last one. A ``passing`` diminished chord
    may be on any raised degree.

    >>> [str(note) for note in fitting_spellings(1, Key.parse("C"))]
    ['Db']
    """
    found = [note for note in key.scale if note.pc == pc]
    for after in afters:
        found += _degrees(after.root, ("b2", "5", "4", "7"), key)
    if before is not None:
        found += _degrees(before.root, ("#1", "b2", "5", "4"), key)
    found.append(key.spell(pc))
    for note in key.scale if passing else ():
        found += _degrees(note, ("#1",), key)
    return tuple(dict.fromkeys(note for note in found if note.pc == pc))


def _degrees(root: NoteName, degrees: Sequence[str], key: Key) -> list[NoteName]:
    """Return notes above a root as charts spell them, then as the letters would have it."""
    plain = [at(root, degree, key) for degree in degrees]
    return plain + [simplified(note_at(root, Degree.parse(degree))) for degree in degrees]
