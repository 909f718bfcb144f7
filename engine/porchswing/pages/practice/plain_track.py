"""The band as one small MP3 inside the page, for readers that run no scripts.

Mono at 24 kHz with a constant bit rate (MPEG-2, layer III): speech-grade at the lowest rate,
good enough to play along at the highest. The best rate that keeps the file under
:data:`MOST_BYTES` is taken; a tune too long for the lowest is faded out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from porchswing.audio.master.loudness import integrated_lufs
from porchswing.audio.master.mastering import level_gain_db
from porchswing.audio.master.mp3 import mp3_bytes
from porchswing.audio.mix.mixdown import render_blocks
from porchswing.pages.practice.sound_sprite import CEILING_DB, LOUDNESS_LUFS
from porchswing.performance.model import Performance
from porchswing.units import db_to_gain

MOST_BYTES = 700_000
"""As base64 text it stays under a megabyte, and the page of a 32-bar tune under three."""

RATE_HZ = 24000
BIT_RATES_KBPS = (64, 56, 48, 40, 32)

FADE_S = 3.0


@dataclass(frozen=True, slots=True)
class PlainTrack:
    """An MP3 file, how long it plays, and whether it holds the whole performance."""

    audio: bytes
    seconds: float
    is_whole: bool


def plain_track(performance: Performance) -> PlainTrack:
    """Return the whole band as one small recording at the usual loudness."""
    blocks = [block.mean(axis=1) for block in render_blocks(performance, RATE_HZ)]
    samples = np.concatenate(blocks).astype(np.float32)
    rate_kbps = next(
        (rate for rate in BIT_RATES_KBPS if _bytes(samples.size, rate) <= MOST_BYTES),
        BIT_RATES_KBPS[-1],
    )
    frames = min(samples.size, int(MOST_BYTES * 8 / (rate_kbps * 1000) * RATE_HZ))
    is_whole = frames == samples.size
    samples = samples[:frames].copy()
    if not is_whole:
        fade = round(FADE_S * RATE_HZ)
        samples[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    both = np.stack([samples, samples], axis=1)
    peak = float(np.abs(samples).max(initial=1e-9))
    gain_db = level_gain_db(integrated_lufs(both, RATE_HZ), peak, LOUDNESS_LUFS, CEILING_DB)
    samples *= np.float32(db_to_gain(gain_db))
    return PlainTrack(mp3_bytes(samples, RATE_HZ, kbps=rate_kbps), frames / RATE_HZ, is_whole)


def _bytes(frames: int, rate_kbps: int) -> float:
    return frames / RATE_HZ * rate_kbps * 1000 / 8
