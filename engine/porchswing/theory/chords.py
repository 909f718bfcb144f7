"""The spelled chord: a root, a quality and perhaps another bass.

:class:`Quality` is a formula of degrees with a canonical suffix; :class:`Chord` sets it on
a root. Reading a symbol from text is :func:`porchswing.theory.symbols.parse_chord`.
"""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.theory.notes import Degree, NoteName, note_at


@dataclass(frozen=True, slots=True)
class Quality:
    """A kind of chord: canonical ``suffix`` (ASCII), ``degrees`` rising, and ``family``.

    ``family`` is one of ``major minor dominant half-diminished diminished augmented
    suspended power`` and says how the chord behaves, not how it is spelled.
    """

    suffix: str
    degrees: tuple[Degree, ...]
    family: str

    def __hash__(self) -> int:
        """Hash the suffix alone: it determines the degrees, and takes a tenth of the time."""
        return hash(self.suffix)

    def has(self, degree: str) -> bool:
        """Return whether the formula has a degree written as text, such as ``b7``."""
        return Degree.parse(degree) in self.degrees


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord with its spelling kept: ``root``, ``quality`` and an optional slash ``bass``."""

    root: NoteName
    quality: Quality
    bass: NoteName | None = None

    @property
    def notes(self) -> tuple[NoteName, ...]:
        """Spelled notes in the order of the formula, the slash bass not included."""
        return tuple(note_at(self.root, degree) for degree in self.quality.degrees)

    @property
    def pcs(self) -> frozenset[int]:
        """Pitch classes 0–11 of the formula, the slash bass not included."""
        return frozenset((self.root.pc + degree.semitones) % 12 for degree in self.quality.degrees)

    @property
    def bass_note(self) -> NoteName:
        """The note the bass plays: the slash bass where there is one, else the root."""
        return self.bass or self.root

    @property
    def symbol(self) -> str:
        """Canonical ASCII symbol, for example ``Bb7`` or ``F/C``."""
        return f"{self.root}{self.quality.suffix}" + (f"/{self.bass}" if self.bass else "")

    def __str__(self) -> str:
        """Return the canonical symbol."""
        return self.symbol
