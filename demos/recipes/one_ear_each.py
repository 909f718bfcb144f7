"""The ukulele in the left ear, the band in the right: one file to play along with either.

python demos/recipes/one_ear_each.py tune.changes out/split.wav

Start at a low volume, above all on headphones.
"""

from __future__ import annotations

import sys

import numpy as np
import soundfile

import porchswing as ps

CEILING = 10 ** (-3 / 20)
"""Highest sample of the file: 3 dB under full scale."""


def main(chart_path: str, audio_path: str) -> None:
    lead = ps.reharmonize(ps.read_chart(chart_path))
    take = ps.arrange(lead, ps.voice(lead))
    ukulele = take.leaving_out([part for part in take.parts if part != "chords"]).samples()
    band = take.leaving_out("chords").samples()
    frames = max(len(ukulele), len(band))
    split = np.zeros((frames, 2), np.float32)
    split[: len(ukulele), 0] = ukulele.mean(axis=1)
    split[: len(band), 1] = band.mean(axis=1)
    split *= CEILING / max(CEILING, float(np.abs(split).max()))
    soundfile.write(audio_path, split, take.choices.sound.rate_hz)
    print(f"{audio_path}: {frames / take.choices.sound.rate_hz:.0f} s")


if __name__ == "__main__":
    main(*sys.argv[1:])
