"""One struck sound: mode frequencies drawn from the take's seed, and bursts of shaped noise."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.synth.kit import LAYERS
from porchswing.audio.synth.noise import band_noise, even_size, uniform
from porchswing.audio.synth.partials import decaying_sines
from porchswing.units import db_to_gain

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.audio.synth.kit import Burst, Cloud, Struck

TAKE_DETUNE, TAKE_GAIN, TAKE_TURN = 0.012, 0.3, 0.9
"""How far a take's tones stray: a share of the pitch, a share of the gain, radians (our choice)."""

LEVEL_SPAN_S = 0.25
"""The ear takes short sounds for as loud as their energy over about this long."""


def struck(
    row: Struck, variant: int, layers: tuple[int, ...], frames: int, rate_hz: int
) -> NDArray[np.float32]:
    """Return one take of a struck sound at the layers asked for, shape (len(layers), frames)."""
    seed = sum(ord(letter) << (7 * place) for place, letter in enumerate(row.name[:8]))
    seed = seed * 16 + variant
    loudness = (np.asarray(layers, np.float64) + 0.5) / LAYERS
    sound = _modes(row, seed, loudness, frames, rate_hz)
    for place, burst in enumerate(row.bursts):
        span = frames if row.sweep else min(frames, int(8.0 * burst.decay_s * rate_hz))
        drawn = even_size(span) if row.sweep else span
        noise = _noise(seed + 7919 * (place + 1), drawn, burst, rate_hz)[:span]
        shape = _sweep(span) if row.sweep else _burst(burst.attack_s, burst.decay_s, span, rate_hz)
        gains = burst.gain * 10.0 ** (row.hard_db * (loudness - 0.5) / 20.0)
        sound[:, :span] += gains[:, None].astype(np.float32) * (noise * shape)
    fade = max(min(frames, round(0.01 * rate_hz)), frames // 6)
    sound[:, frames - fade :] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    sound -= sound.mean(axis=1, keepdims=True)
    span_s = frames / rate_hz if row.sweep else LEVEL_SPAN_S
    energy = np.square(sound).sum(axis=1) / (rate_hz * span_s)
    sound *= (db_to_gain(row.level_db) / np.sqrt(energy))[:, None]
    return sound


@lru_cache(maxsize=16)
def _noise(seed: int, frames: int, burst: Burst, rate_hz: int) -> NDArray[np.float32]:
    """Return a burst's noise; sweeps of nearly one length share it.

    Longer noise of the same seed begins in the same way: sweeps of all lengths sound alike.
    """
    return band_noise(seed, frames, burst.low_hz, burst.high_hz, rate_hz)


def _modes(
    row: Struck, seed: int, loudness: NDArray[np.float64], frames: int, rate_hz: int
) -> NDArray[np.float32]:
    """Return the sum of a sound's tones and clouds, shape (layers, frames)."""
    hz, decay_s, gain = np.array(row.tones).reshape(-1, 3).T
    turns = np.zeros(len(row.tones))
    if row.variants > 1:  # a stick never falls on one place twice
        strewn_tones = 2.0 * uniform(seed + 17, 3 * len(row.tones)).reshape(3, -1) - 1.0
        hz = hz * (1.0 + TAKE_DETUNE * strewn_tones[0])
        gain = gain * (1.0 + TAKE_GAIN * strewn_tones[1])
        turns = TAKE_TURN * strewn_tones[2]
    clouds = (_cloud(cloud, seed + 104729 * n) for n, cloud in enumerate(row.clouds, start=1))
    modes = np.concatenate([(hz, 1.0 / decay_s, gain), *clouds], axis=1)
    keep = modes[0] < 0.45 * rate_hz
    hz, decay_per_s, gain = modes.compress(keep, axis=1)
    if not hz.size:
        return np.zeros((loudness.size, frames), np.float32)
    octaves = np.log2(hz / 1000.0)
    layered = gain * 10.0 ** (row.hard_db * (loudness[:, None] - 0.5) * octaves / 20.0)
    phases = np.exp(2j * np.pi * uniform(seed, hz.size))
    turns = turns[keep[: turns.size]]
    phases[: turns.size] = -1j * np.exp(1j * turns)
    return decaying_sines(layered * phases, hz, decay_per_s, frames, rate_hz)


def _cloud(
    cloud: Cloud, seed: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return Hz, decay (nepers/s) and gain of the modes of a cloud."""
    strewn = uniform(seed, 2 * cloud.modes)
    place = (np.arange(cloud.modes) + strewn[: cloud.modes]) / cloud.modes
    octaves = np.log2(cloud.high_hz / cloud.low_hz) * place
    hz = cloud.low_hz * 2.0**octaves
    decay_s = cloud.low_decay_s * (cloud.high_decay_s / cloud.low_decay_s) ** place
    loud = 0.4 + 1.2 * strewn[cloud.modes :]
    gain = cloud.gain * loud * 10.0 ** (cloud.tilt_db * octaves / 20.0) / np.sqrt(cloud.modes / 4)
    return hz, 1.0 / decay_s, gain


def _burst(attack_s: float, decay_s: float, frames: int, rate_hz: int) -> NDArray[np.float32]:
    """Return the envelope of a burst: a straight rise and an exponential fall."""
    time = np.arange(frames, dtype=np.float32) * np.float32(1.0 / rate_hz)
    fall: NDArray[np.float32] = np.exp(-time / np.float32(decay_s))
    fall *= np.minimum(np.float32(1.0), time / np.float32(attack_s))
    return fall


def _sweep(frames: int) -> NDArray[np.float32]:
    """Return the envelope of a brush drawn over the skin: it swells, leans back and fades."""
    turn = np.arange(frames, dtype=np.float32) * np.float32(np.pi / max(1, frames))
    swell: NDArray[np.float32] = np.sin(turn) ** 2
    swell *= np.float32(1.0) - np.float32(0.35) * np.cos(turn)
    return swell
