"""Cymbals, hats and side stick beside a sampled kit: centroid and level over time; and a fit.

For each piece, prints the spectral centroid (Hz) and the level (dB) over five stretches of the
sound, FluidSynth's with FluidR3 and ours. ``--fit SECONDS`` then changes our row at random for so
many seconds, keeps what comes nearer, and prints the row to write into ``audio/synth/kit.py``.

Run from the checkout: ``PYTHONPATH=tests python tests/bench/kit_fit.py [PIECE …] [--fit 20]``.
"""

from __future__ import annotations

import argparse
import math
import random
import time

import numpy as np

from bench.sound_report import through_fluidsynth
from porchswing.audio.synth.kit import STRUCK, Struck
from porchswing.audio.synth.struck import struck
from porchswing.performance.model import Note, PartPerformance, Performance, TempoEvent
from porchswing.performance.perform import PERCUSSION_KEYS

RATE_HZ = 44100
PIECES = ("ride", "ride_bell", "hat_pedal", "hat_closed", "hat_open", "side_stick")
STRETCHES_S = ((0.0, 0.02), (0.02, 0.06), (0.06, 0.15), (0.15, 0.4), (0.4, 1.0))
SPACE_S = 3.0
HEARD_DB = -30.0
"""Stretches further below the first one count less: they are hardly heard."""


def curves(sound: np.ndarray) -> list[tuple[float, float]]:
    """Return centroid in Hz and level in dB below the first stretch, stretch by stretch."""
    found = []
    for start_s, end_s in STRETCHES_S:
        some = sound[round(start_s * RATE_HZ) : round(end_s * RATE_HZ)]
        power = np.abs(np.fft.rfft(some * np.hanning(some.size))) ** 2
        hz = np.fft.rfftfreq(some.size, 1 / RATE_HZ)
        level = 10 * np.log10(np.mean(some**2) + 1e-12)
        found.append((float((hz * power).sum() / max(power.sum(), 1e-20)), float(level)))
    return [(hz, level - found[0][1]) for hz, level in found]


def sampled(pieces: list[str]) -> dict[str, list[tuple[float, float]]]:
    """Return the curves of FluidR3's pieces."""
    notes = tuple(
        Note(round(SPACE_S * place * 1920), round((SPACE_S * place + 2) * 1920), SPACE_S * place,
             SPACE_S * place + 2, PERCUSSION_KEYS[piece], 80, piece=piece)
        for place, piece in enumerate(pieces)
    )  # fmt: skip
    end_s = SPACE_S * len(pieces)
    take = Performance(
        "kit", (PartPerformance("drums", "drums", notes),), (TempoEvent(0, 500_000, 0.0),), (),
        round(end_s * 1920), end_s,
    )  # fmt: skip
    sound = through_fluidsynth(take)
    sound = sound.mean(axis=1) if sound.ndim > 1 else sound
    found = {}
    for place, piece in enumerate(pieces):
        one = sound[round(SPACE_S * place * RATE_HZ) :][: round(SPACE_S * RATE_HZ)]
        onset = int(np.argmax(np.abs(one) > 0.05 * np.abs(one).max()))
        found[piece] = curves(one[onset:])
    return found


def ours(row: Struck) -> list[tuple[float, float]]:
    """Return the curves of one take of a row of ours."""
    frames = round(min(row.seconds, 1.2) * RATE_HZ)
    return curves(np.pad(struck(row, 0, (1,), frames, RATE_HZ)[0], (0, 2 * RATE_HZ)))


def distance(row: Struck, goal: list[tuple[float, float]]) -> float:
    """Return how far a row is from the sampled curves: an eighth of log centroid, 6 dB count 1."""
    total = 0.0
    for (hz, level), (goal_hz, goal_level) in zip(ours(row), goal, strict=True):
        if goal_level < -45.0:
            continue
        weight = 1.0 if goal_level > HEARD_DB else 0.3
        total += weight * (8.0 * math.log(max(hz, 50.0) / goal_hz)) ** 2
        total += weight * ((max(level, -70.0) - goal_level) / 6.0) ** 2
    return total


def changed(row: Struck, dice: random.Random, size: float) -> Struck:
    """Return a row with everything but its tones' pitches moved at random."""

    def moved(value: float, low: float, high: float) -> float:
        return float(f"{min(high, max(low, value * math.exp(dice.gauss(0.0, size)))):.3g}")

    tones = tuple(
        tone._replace(decay_s=moved(tone.decay_s, 0.004, 1.5), gain=moved(tone.gain, 0.005, 2.0))
        for tone in row.tones
    )
    clouds, bursts = [], []
    for cloud in row.clouds:
        low_hz = moved(cloud.low_hz, 250.0, 6000.0)
        clouds.append(cloud._replace(
            low_hz=low_hz, high_hz=moved(cloud.high_hz, 1.5 * low_hz, 19500.0),
            low_decay_s=moved(cloud.low_decay_s, 0.01, 1.5),
            high_decay_s=moved(cloud.high_decay_s, 0.005, 1.0), gain=moved(cloud.gain, 0.02, 2.0),
            tilt_db=round(max(-4.0, min(8.0, cloud.tilt_db + dice.gauss(0.0, 2.0 * size))), 1),
        ))  # fmt: skip
    for burst in row.bursts:
        low_hz = moved(burst.low_hz, 200.0, 13000.0)
        bursts.append(burst._replace(
            low_hz=low_hz, high_hz=moved(burst.high_hz, 1.3 * low_hz, 20000.0),
            attack_s=moved(burst.attack_s, 0.0003, 0.015),
            decay_s=moved(burst.decay_s, 0.002, 0.09), gain=moved(burst.gain, 0.03, 4.0),
        ))  # fmt: skip
    return row._replace(tones=tones, clouds=tuple(clouds), bursts=tuple(bursts))


def fitted(row: Struck, goal: list[tuple[float, float]], seconds: float) -> Struck:
    """Return the nearest row that a random search of so many seconds finds."""
    dice, end = random.Random(row.name), time.monotonic() + seconds
    best, least = row, distance(row, goal)
    while time.monotonic() < end:
        tried = changed(best, dice, 0.35 * dice.random())
        away = distance(tried, goal)
        if away < least:
            best, least = tried, away
    return best


def main() -> None:
    """Print the tables, and the fitted rows where a fit is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("pieces", nargs="*", default=list(PIECES))
    parser.add_argument("--fit", type=float, default=0.0, metavar="SECONDS")
    options = parser.parse_args()
    goals = sampled(options.pieces)
    for piece in options.pieces:
        row = STRUCK[piece]
        if options.fit:
            row = fitted(row, goals[piece], options.fit)
        for name, found in (("sampled", goals[piece]), ("ours", ours(row))):
            cells = " ".join(f"{hz:7.0f} Hz {level:6.1f} dB" for hz, level in found)
            print(f"{piece:11} {name:8} {cells}")
        if options.fit:
            print(row)


if __name__ == "__main__":
    main()
