"""What a grip is called: its notes, every reading of them, and what it may have meant."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.limits import MAX_FRET
from porchswing.chart.model import Frets
from porchswing.errors import GripError
from porchswing.grips.names.near_grips import NearGrip, near_grips
from porchswing.grips.names.readings import Reading, readings
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.spelling import spelled
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key


@dataclass(frozen=True, slots=True)
class Naming:
    """Everything a grip may be called: spelled ``notes``, ranked ``readings``, ``near`` grips."""

    grip: Grip
    notes: tuple[str | None, ...]
    readings: tuple[Reading, ...]
    near: tuple[NearGrip, ...]

    def __str__(self) -> str:
        """Return the grip's notes, readings and neighbours."""
        notes = " ".join(note or "x" for note in self.notes)
        names = ", ".join(map(str, self.readings)) or "no chord we know"
        return "\n".join([f"{self.grip} ({notes}): {names}", *map(str, self.near)])


def name_grip(
    frets: Frets | str,
    tuning: str | Tuning = "gCEA",
    *,
    before: Chord | None = None,
    after: Chord | None = None,
    key: Key | None = None,
) -> Naming:
    """Return every reading of a grip, the likeliest first.

    Parameters
    ----------
    frets
        One fret a string from the highest-numbered, ``None`` for muted, or text such as
        ``3535``, ``9-10-10-10`` or ``x02210``.
    before
        The chord that the grip comes before.
    after
        The chord that the grip comes after.
    key
        The key that spells the readings and that they should lie in.

    Raises
    ------
    GripError
        For frets that are none, too few or too many.

    >>> name_grip("3435").readings[0].symbol
    'C9'
    >>> from porchswing.theory.symbols import parse_chord
    >>> name_grip("3535", before=parse_chord("C7")).readings[0].symbol
    'Gm7'
    """
    chosen = tuning_of(tuning)
    grip = read_grip(frets, chosen)
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
        try:
            frets = tuple(None if mark in ("x", "X") else _fret(mark) for mark in marks)
        except ValueError:
            raise GripError(
                f"a grip is one fret a string, such as 3535, 9-10-10-10 or x02210, got {text!r}"
            ) from None
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


def _fret(mark: str) -> int:
    if not (mark.isascii() and mark.isdigit()) or len(mark) > 2:
        raise ValueError(mark)
    return int(mark)
