"""AudioReport: paths, length and loudness of written files. Importable without numpy."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class AudioReport:
    """Paths, length, rate, loudness and true peak of written files.

    ``held_back_db`` is how far under the loudness asked for the true-peak ceiling kept it,
    ``reduction_db`` the most that the limiter took off a peak.
    """

    paths: tuple[Path, ...]
    seconds: float
    rate_hz: int
    loudness_lufs: float
    true_peak_dbtp: float
    held_back_db: float
    reduction_db: float = 0.0

    @property
    def note(self) -> str:
        """One sentence for the player when the ceiling held the loudness back, or nothing."""
        if self.held_back_db < 0.05:
            return ""
        return (
            f"peaks at {self.true_peak_dbtp:.1f} dBTP held the loudness back by "
            f"{self.held_back_db:.1f} dB, to {self.loudness_lufs:.1f} LUFS, with "
            f"{self.reduction_db:.1f} dB taken off the loudest"
        )
