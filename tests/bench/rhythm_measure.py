"""Measure swing and spread where they end up: in the MIDI file's bytes and in the sound.

    python tests/bench/rhythm_measure.py [--quick]

Every row asks for one ratio at one tempo, plays a shuffle on one closed grip without humanising,
and reads the ratio back: from the MIDI file through pretty_midi (first string of each stroke),
and from the rendered chord part through an onset detector. The detector takes librosa's spectral
flux (hop 64 frames, 1.45 ms) and the steepest rise within 15 ms of a rough peak; on clicks at
known places it is right within the figure printed first.
"""

from __future__ import annotations

import argparse
import io
import warnings
from dataclasses import replace
from fractions import Fraction

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import librosa
    import pretty_midi

from porchswing.audio.mix.mixdown import render_blocks
from porchswing.band.score import PartScore, Score, Stroke
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.midi.smf import midi_bytes
from porchswing.performance.perform import perform
from porchswing.rhythm.tempo import TempoMap, TempoSegment

RATE_HZ, HOP = 44100, 64
BEATS = 16
UKE = Tuning("gCEA", (67, 60, 64, 69))
RATIOS = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5)
TEMPOS = (60, 90, 120, 160, 200, 240, 300)


def shuffle_score(ratio: float, bpm: float) -> Score:
    strokes = []
    for half in range(2 * BEATS):
        up = half % 2
        strokes.append(
            Stroke(
                Fraction(half, 2),
                Fraction(3, 8),
                Grip((7, 8, 7, 7), UKE),
                direction="up" if up else "down",
                velocity=0.8,
            )
        )
    tempo = TempoMap((TempoSegment(Fraction(0), bpm, ratio),))
    part = PartScore("chords", tuple(strokes), "ukulele")
    return Score("Measured", (part,), tempo, (), Fraction(0), Fraction(BEATS))


def strokes_of(onsets: list[float], gap_s: float = 0.03) -> list[list[float]]:
    groups: list[list[float]] = []
    for onset in sorted(onsets):
        if groups and onset - groups[-1][0] < gap_s:
            groups[-1].append(onset)
        else:
            groups.append([onset])
    return groups


def ratio_of(starts: list[float], bpm: float) -> tuple[float, float]:
    """Return the mean ratio and the largest error in ms of the off-beats from their mean place."""
    starts = starts[: 2 * BEATS - 1]
    longs = [b - a for a, b in zip(starts[0::2], starts[1::2], strict=False)]
    shorts = [c - b for b, c in zip(starts[1::2], starts[2::2], strict=False)]
    return float(np.mean(longs) / np.mean(shorts)), float(np.ptp(longs)) * 1000


def detected(sound: np.ndarray, expected: list[float]) -> list[float]:
    """Return onset times: around each rough place the steepest rise of the spectral flux."""
    flux = librosa.onset.onset_strength(
        y=sound, sr=RATE_HZ, hop_length=HOP, n_fft=512, n_mels=64, center=True
    )
    found = []
    for place in expected:
        middle = round(place * RATE_HZ / HOP)
        low, high = max(0, middle - 10), middle + 11
        window = flux[low:high]
        found.append((low + int(np.argmax(window))) * HOP / RATE_HZ)
    return found


def check_detector() -> float:
    generator = np.random.default_rng(1)
    places = np.cumsum(generator.uniform(0.1, 0.4, 40))
    sound = np.zeros(int((places[-1] + 1) * RATE_HZ), dtype=np.float32)
    for place in places:
        at = round(place * RATE_HZ)
        time = np.arange(4000) / RATE_HZ
        sound[at : at + 4000] += np.exp(-time * 60) * np.sin(2 * np.pi * 700 * time)
    found = np.array(detected(sound, [p + generator.uniform(-0.005, 0.005) for p in places]))
    delay = found - places
    return float(np.max(np.abs(delay - np.median(delay)))) * 1000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="three tempos only")
    tempos = TEMPOS[::3] if parser.parse_args().quick else TEMPOS
    print(f"detector on known clicks: within {check_detector():.2f} ms of its own delay")
    print("ratio bpm | MIDI ratio  err%  spread ms | sound ratio  err%  off-beat err ms")
    worst = [0.0, 0.0, 0.0, 0.0]
    for ratio in RATIOS:
        for bpm in tempos:
            performance = perform(shuffle_score(ratio, bpm), humanize=0.0)
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                midi = pretty_midi.PrettyMIDI(io.BytesIO(midi_bytes(performance)))
            notes = [note.start for inst in midi.instruments for note in inst.notes]
            groups = strokes_of(notes)
            starts = [group[0] for group in groups]
            spread_ms = max(group[-1] - group[0] for group in groups) * 1000
            got, _ = ratio_of(starts, bpm)
            blocks = list(render_blocks(replace(performance), RATE_HZ))
            sound = np.concatenate(blocks).mean(axis=1).astype(np.float32)
            heard = detected(sound, starts)
            sounded, _ = ratio_of(heard, bpm)
            asked_s = ratio / (ratio + 1) * 60 / bpm
            longs = [b - a for a, b in zip(heard[0::2], heard[1::2], strict=False)]
            off_ms = (float(np.mean(longs)) - asked_s) * 1000
            midi_err, sound_err = (got / ratio - 1) * 100, (sounded / ratio - 1) * 100
            worst[0] = max(worst[0], abs(midi_err))
            worst[1] = max(worst[1], spread_ms)
            worst[2] = max(worst[2], abs(sound_err))
            worst[3] = max(worst[3], abs(off_ms))
            print(
                f"{ratio:4.1f} {bpm:4d} | {got:9.4f} {midi_err:6.2f} {spread_ms:8.1f}  |"
                f" {sounded:9.4f} {sound_err:6.2f} {off_ms:8.2f}"
            )
    print(
        f"worst: MIDI ratio {worst[0]:.2f} %, spread {worst[1]:.1f} ms, "
        f"sound ratio {worst[2]:.2f} %, off-beat in the sound {worst[3]:.2f} ms"
    )


if __name__ == "__main__":
    main()
