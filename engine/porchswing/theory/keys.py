"""Keys: a tonic and a mode, their signature and scale."""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.theory.notes import NoteName


@dataclass(frozen=True, slots=True)
class Key:
    """A key: spelled ``tonic`` and ``mode``, ``major`` or ``minor``."""

    tonic: NoteName
    mode: str = "major"

    def __str__(self) -> str:
        """Return the key as the chart language writes it: ``Bb`` or ``G minor``."""
        return str(self.tonic) + (" minor" if self.mode == "minor" else "")
