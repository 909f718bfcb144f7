"""Lines: what every string plays through the changes, and the best line among them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from porchswing.chart.model import LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.search.line_cost import DIRECTIONS, SEMITONE, WHOLE_TONE
from porchswing.grips.shapes.model import VoicedSlot, Voicing, section_slots
from porchswing.theory.keys import spelled

LEAST_LINE_STEPS = 2
"""Steps a stretch must have to be called a line."""


@dataclass(frozen=True, slots=True)
class StringLine:
    """What one string plays: a MIDI note number and a spelled note for every voiced slot.

    Both hold ``None`` under N.C. and where the string is muted. The counts are over changes of
    chord: ``steps_down`` and ``steps_up`` by semitone or whole tone, ``held``, ``leaps``.
    """

    string: int
    midi: tuple[int | None, ...]
    notes: tuple[str | None, ...]
    steps_down: int
    steps_up: int
    held: int
    leaps: int

    @property
    def direction(self) -> str:
        """Where its steps mostly lead: ``down``, ``up`` or ``level``."""
        if self.steps_down == self.steps_up:
            return "level"
        return "down" if self.steps_down > self.steps_up else "up"

    @property
    def summary(self) -> str:
        """What its changes do, counted."""
        return f"{self.steps_down} down, {self.steps_up} up, {self.held} held, {self.leaps} " + (
            "leap" if self.leaps == 1 else "leaps"
        )


@dataclass(frozen=True, slots=True)
class LineRun:
    """A stretch where a string moves by step in one direction, from slot to slot.

    ``places`` are those among the slots given where it reaches a new note, the first included.
    """

    string: int
    direction: str
    places: tuple[int, ...]
    midi: tuple[int, ...]
    notes: tuple[str, ...]

    @property
    def steps(self) -> int:
        """How many steps it takes."""
        return len(self.midi) - 1

    @property
    def semitones(self) -> int:
        """How many of its steps are semitones."""
        return sum(abs(b - a) == SEMITONE for a, b in zip(self.midi, self.midi[1:], strict=False))

    def __str__(self) -> str:
        """Return the line in a teacher's words: string 4 falls by semitones, D to B."""
        way = "falls" if self.direction == "down" else "rises"
        step = "by semitones" if self.semitones == self.steps else "by step"
        first, last = (note.rstrip("0123456789-") for note in (self.notes[0], self.notes[-1]))
        return f"string {self.string} {way} {step}, {first} to {last}"


def string_lines(voicing: Voicing, section: str | None = None) -> tuple[StringLine, ...]:
    """Return what every string plays, from the highest-numbered to string 1."""
    slots = section_slots(voicing, section)
    return tuple(
        _string_line(slots, index, voicing.tuning.strings - index)
        for index in range(voicing.tuning.strings)
    )


def _string_line(slots: tuple[VoicedSlot, ...], index: int, string: int) -> StringLine:
    midi = tuple(slot.grip.midi[index] if slot.grip else None for slot in slots)
    notes = tuple(
        None if note is None else spelled(note, slot.chord)
        for note, slot in zip(midi, slots, strict=True)
    )
    steps = [goal - start for _, _, start, goal in _changes(slots, midi)]
    return StringLine(
        string=string,
        midi=midi,
        notes=notes,
        steps_down=sum(-WHOLE_TONE <= step < 0 for step in steps),
        steps_up=sum(0 < step <= WHOLE_TONE for step in steps),
        held=sum(step == 0 for step in steps),
        leaps=sum(abs(step) > WHOLE_TONE for step in steps),
    )


def _changes(
    slots: tuple[VoicedSlot, ...], midi: tuple[int | None, ...]
) -> Iterator[tuple[int, int, int, int]]:
    """Yield each change of chord inside a section: both places and the string's two notes."""
    last: tuple[int, int] | None = None
    for place, (slot, note) in enumerate(zip(slots, midi, strict=True)):
        if slot.grip is None:
            continue
        if last is not None and note is not None:
            before = slots[last[0]]
            if (before.section, before.pass_number) == (slot.section, slot.pass_number):
                if before.chord == slot.chord and before.grip == slot.grip:
                    continue  # the same grip goes on
                yield last[0], place, last[1], note
        last = None if note is None else (place, note)


def line_runs(voicing: Voicing, section: str | None = None) -> tuple[LineRun, ...]:
    """Return every stretch of two steps or more that some string carries, the best first.

    Best is the one with most steps, then most semitones, then the higher-numbered string.
    """
    slots = section_slots(voicing, section)
    found = [
        run
        for index in range(voicing.tuning.strings)
        for way in DIRECTIONS
        for run in _runs(slots, index, voicing.tuning.strings - index, way)
    ]
    return tuple(sorted(found, key=lambda run: (-run.steps, -run.semitones, -run.string)))


def _runs(
    slots: tuple[VoicedSlot, ...], index: int, string: int, direction: str
) -> Iterator[LineRun]:
    midi = tuple(slot.grip.midi[index] if slot.grip else None for slot in slots)
    stretches: list[list[int]] = [[]]
    reached = -1
    for before, after, start, goal in _changes(slots, midi):
        step = (goal - start) * DIRECTIONS[direction]
        if SEMITONE <= step <= WHOLE_TONE:
            if not stretches[-1] or reached != before:
                stretches.append([before])
            stretches[-1].append(after)
        elif step != 0:
            stretches.append([])
        reached = after
    for places in stretches:
        if len(places) > LEAST_LINE_STEPS:
            sounding = [(place, note) for place in places if (note := midi[place]) is not None]
            yield LineRun(
                string,
                direction,
                tuple(place for place, _ in sounding),
                tuple(note for _, note in sounding),
                tuple(spelled(note, slots[place].chord) for place, note in sounding),
            )


def target_of(roadmap: Roadmap, section: str, line: LineTarget | None) -> LineTarget | None:
    """Return the line asked for in a section: by the player, else by the chart."""
    said = [bar.settings.line for bar in roadmap.bars if bar.section == section]
    return line or next((target for target in said if target is not None), None)


def asked_line(voicing: Voicing, target: LineTarget, section: str | None = None) -> LineRun | None:
    """Return the best line of the string in the direction asked for, if it carries one."""
    fitting = (
        run
        for run in line_runs(voicing, section)
        if target.string in (None, run.string) and target.direction in (None, run.direction)
    )
    return next(fitting, None)


def best_line(voicing: Voicing, section: str | None = None) -> LineRun | None:
    """Return the best line some string carries, ``None`` where there is none."""
    return next(iter(line_runs(voicing, section)), None)
