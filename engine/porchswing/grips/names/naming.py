"""What a grip is called: its notes, every reading of them, and what it may have meant."""

from __future__ import annotations

import re
from dataclasses import dataclass

from porchswing.chart.limits import MAX_FRET
from porchswing.chart.model import Frets
from porchswing.errors import GripError, check_types
from porchswing.grips.names.readings import NAMED, Reading, equal_readings, readings
from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, spelled
from porchswing.theory.symbols import parse_chord

COMMON_POINTS = 13
"""A quality that loses no more is common, and gets no near grips."""

MAX_NEAR = 3
"""Most near grips that are returned."""


@dataclass(frozen=True, slots=True)
class NearGrip:
    """A grip one finger away that sounds a common chord."""

    chord: Chord
    grip: Grip

    def __str__(self) -> str:
        """Return what the player may have meant, in words."""
        return f"for {self.chord} you may mean {self.grip}"


@dataclass(frozen=True, slots=True)
class Naming:
    """Everything a grip may be called: spelled ``notes``, ranked ``readings``, ``near`` grips."""

    grip: Grip
    notes: tuple[str | None, ...]
    readings: tuple[Reading, ...]
    near: tuple[NearGrip, ...]

    @property
    def reading_rows(self) -> tuple[str, ...]:
        """The readings as text, the likeliest first, equal ones on one row."""
        return tuple(" = ".join(map(str, group)) for group in equal_readings(self.readings))

    def __str__(self) -> str:
        """Return the grip's notes, readings and neighbours."""
        notes = " ".join(note or "x" for note in self.notes)
        names = ", ".join(self.reading_rows) or "no chord we know"
        return "\n".join([f"{self.grip} ({notes}): {names}", *map(str, self.near)])


def name_grip(
    frets: Frets | str,
    tuning: str | Tuning = "gCEA",
    *,
    before: Chord | str | None = None,
    after: Chord | str | None = None,
    key: Key | str | None = None,
) -> Naming:
    """Return every reading of a grip, the likeliest first.

    Parameters
    ----------
    frets
        One fret a string from the highest-numbered, ``None`` for muted, or text such as
        ``3535``, ``9-10-10-10`` or ``x02210``.
    tuning
        A tuning, its name or its notes.
    before
        The chord that follows the grip, or its symbol.
    after
        The chord before the grip, or its symbol.
    key
        The key that spells the readings and that they should lie in, or its text.

    Returns
    -------
    Naming
        The grip, its notes, its readings in order, and what a finger misplaced may have meant.

    Raises
    ------
    GripError
        For frets that are none, too few or too many.
    TuningError, ChordSymbolError, OptionError
        For a tuning, a chord or a key that cannot be read.

    Examples
    --------
    >>> name_grip("3435").readings[0].symbol
    'C9'
    >>> name_grip("3535", before="C7").readings[0].symbol
    'Gm7'
    """
    check_types(
        frets=(frets, tuple, str), tuning=(tuning, Tuning, str), before=(before, Chord, str, None),
        after=(after, Chord, str, None), key=(key, Key, str, None),
    )  # fmt: skip
    before = parse_chord(before) if isinstance(before, str) else before
    after = parse_chord(after) if isinstance(after, str) else after
    key = Key.parse(key) if isinstance(key, str) else key
    grip = read_grip(frets, tuning_of(tuning))
    known = readings(grip, before, after, key)
    best = known[0].chord if known else None
    notes = tuple(None if m is None else spelled(m, best, key) for m in grip.midi)
    return Naming(grip, notes, known, near_grips(grip, known, key))


def read_grip(frets: Frets | str, tuning: Tuning) -> Grip:
    """Return a grip from frets or from text such as ``3535``, ``9-10-10-10`` or ``x02210``.

    >>> str(read_grip("9-10-10-10", tuning_of("gCEA")))
    '9-10-10-10'
    """
    if isinstance(frets, str):
        text = frets.strip()
        words = text.replace(",", "-").replace(" ", "-").split("-")
        marks = words if len(words) > 1 else list(text)
        if not all(re.fullmatch("[xX]|[0-9]{1,2}", mark) for mark in marks):
            raise GripError(
                f"a grip is one fret a string, such as 3535, 9-10-10-10 or x02210, got {text!r}"
            )
        frets = tuple(None if mark in "xX" else int(mark) for mark in marks)
    if len(frets) != tuning.strings:
        raise GripError(
            f"{tuning.name} has {tuning.strings} strings, got {len(frets)} frets"
            + ("; write frets from 10 on with hyphens, 9-10-10-10" if len(frets) > 4 else "")
        )
    top = max((fret for fret in frets if fret is not None), default=None)
    if top is None:
        raise GripError("every string is muted")
    if top > MAX_FRET:
        raise GripError(f"frets go up to {MAX_FRET}, got {top}")
    return Grip(tuple(frets), tuning)


# --- the chord one finger away ---------------------------------------------------------------


def near_grips(
    grip: Grip, known: tuple[Reading, ...], key: Key | None = None
) -> tuple[NearGrip, ...]:
    """Return common chords one finger away, where the grip itself is not a common one."""
    if known and NAMED[known[0].chord.quality.suffix] <= COMMON_POINTS:
        return ()
    roots = {reading.chord.root.pc for reading in known[:1]} or set(range(12))
    found: list[tuple[bool, int, NearGrip]] = []
    for frets in one_finger_away(grip.frets):
        other = Grip(frets, grip.tuning)
        changed = sum(a != b for a, b in zip(grip.frets, frets, strict=True))
        for reading in readings(other, key=key)[:1]:
            points = NAMED[reading.chord.quality.suffix]
            if reading.chord.root.pc in roots and points <= COMMON_POINTS and not reading.missing:
                # a finger set on the next string is the likelier slip
                found.append((changed == 1, points, NearGrip(reading.chord, other)))
    found.sort(key=lambda row: row[:2])
    return tuple(near for _, _, near in found[:MAX_NEAR])


def one_finger_away(frets: Frets) -> tuple[Frets, ...]:
    """Return the grips one finger away: a fret along its string, or over to the next string.

    >>> (3, 4, 3, 5) in one_finger_away((4, 3, 3, 5))
    True
    """
    found: dict[Frets, None] = {}
    for index, fret in enumerate(frets):
        if fret is None:
            continue
        for other in (fret - 1, fret + 1):
            if other >= 0:
                found[(*frets[:index], other, *frets[index + 1 :])] = None
        nearby = frets[index + 1 : index + 2]
        if nearby and nearby[0] is not None and nearby[0] != fret:
            found[(*frets[:index], nearby[0], fret, *frets[index + 2 :])] = None
    return tuple(found)


def _distance(frets: Frets, others: Frets) -> int:
    return sum(abs((a or 0) - (b or 0)) for a, b in zip(frets, others, strict=True))


def meant_grip(grip: Grip, chord: Chord) -> Grip | None:
    """Return the grip of a chord that lies nearest to one that does not sound it.

    Grips one finger away come first; where there is none, the fewest frets decide.

    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> str(meant_grip(Grip((4, 3, 3, 5), tuning("gCEA")), parse_chord("C9")))
    '3435'
    """
    hand = Hand(max_fret=max(CLOSED_HAND.max_fret, *(fret or 0 for fret in grip.frets)))
    kind = "closed" if grip.is_closed else "any"
    grips = enumerate_grips(chord, grip.tuning, hand, kind=kind, mutes=None in grip.frets)
    close = set(one_finger_away(grip.frets))
    return min(
        grips,
        key=lambda other: (other.frets not in close, _distance(grip.frets, other.frets)),
        default=None,
    )
