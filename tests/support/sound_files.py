"""One performance as one sound file, and its true peak, as checks ask for them."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from porchswing.audio.master.audio_files import write_files
from porchswing.audio.master.audio_report import AudioReport
from porchswing.audio.master.true_peak import planar_of, true_peak
from porchswing.audio.mix.strikes import schedule_of
from porchswing.options import DEFAULT_SOUND, SoundSettings
from porchswing.performance.model import Performance


def write_audio(
    take: Performance, path: Path | str, sound: SoundSettings = DEFAULT_SOUND, **options: Any
) -> AudioReport:
    """Render a performance and write it as one sound file, the format by its suffix."""
    return write_files(schedule_of(take), [Path(path)], sound, **options)


def true_peak_dbtp(samples: np.ndarray, rate_hz: int) -> float:
    """Return the true peak in dBTP of samples, shape (frames,) or (frames, channels)."""
    peak = true_peak(planar_of(samples), rate_hz)
    return 20.0 * math.log10(peak) if peak > 0.0 else -math.inf
