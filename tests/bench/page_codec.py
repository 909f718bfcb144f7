"""Which codec carries the practice page's notes: size, noise and time, measured on our own notes.

Prints, for every sample rate and codec, the size in the page (base64), the signal-to-noise ratio
in each 20 ms (median over what sounds), and the time to encode.

    python tests/bench/page_codec.py
"""

from __future__ import annotations

import io
import sys
import time
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from porchswing.pages.practice import sound_sprite as page_strip
from porchswing.pages.practice.sound_sprite import sound_strip
from support.made import TUNE
from support.practice_lanes import chart_and_lanes

CODECS = (
    ("MP3, best", {"format": "MP3", "bitrate_mode": "VARIABLE", "compression_level": 0.0}),
    ("MP3, ours", {"format": "MP3", "bitrate_mode": "VARIABLE", "compression_level": 0.15}),
    ("MP3, smaller", {"format": "MP3", "bitrate_mode": "VARIABLE", "compression_level": 0.5}),
    ("FLAC, 16 bit", {"format": "FLAC", "subtype": "PCM_16"}),
)
FRAME_S = 0.02


def raw_strip(rate_hz: int) -> np.ndarray:
    """Return the strip of the demo tune before it is compressed."""
    kept: list[np.ndarray] = []
    encode, rate = page_strip.compressed, page_strip.RATE_HZ
    try:
        page_strip.RATE_HZ = rate_hz
        page_strip.compressed = lambda samples: kept.append(samples) or b""
        sound_strip(chart_and_lanes(TUNE)[1])
    finally:
        page_strip.compressed, page_strip.RATE_HZ = encode, rate
    return kept[0]


def noise_db(own: np.ndarray, heard: np.ndarray, rate_hz: int) -> float:
    """Return the median signal-to-noise ratio in dB over the frames that sound."""
    frame = round(FRAME_S * rate_hz)
    frames = min(own.size, heard.size) // frame
    own = own[: frames * frame].reshape(frames, frame)
    heard = heard[: frames * frame].reshape(frames, frame)
    signal = np.mean(own**2, axis=1)
    noise = np.mean((heard - own) ** 2, axis=1) + 1e-14
    sounds = signal > 1e-7
    return float(10 * np.log10(np.median(signal[sounds] / noise[sounds])))


def main() -> None:
    """Print the table."""
    for rate_hz in (22050, 32000, 44100):
        own = raw_strip(rate_hz)
        print(f"{rate_hz} Hz, {own.size / rate_hz:.0f} s of notes")
        for name, options in CODECS:
            file = io.BytesIO()
            begun = time.perf_counter()
            soundfile.write(file, own, rate_hz, **options)
            took = time.perf_counter() - begun
            size = len(file.getvalue()) * 4 / 3 / 1e6
            file.seek(0)
            heard, _ = soundfile.read(file, dtype="float32")
            snr = noise_db(own, heard, rate_hz)
            print(f"  {name:14s} {size:5.2f} MB in the page, {snr:5.1f} dB, {took:4.1f} s")


if __name__ == "__main__":
    main()
