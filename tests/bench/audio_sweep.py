"""Not one bad sample: every strum, bass and drum pattern, twelve keys, tempos from 40 to 300.

Renders a short chart for every pattern in every key and at several tempos and prints the worst
true peak before and after the master, the loudest DC, and any sample that is not a number or
passes full scale (there must be none).

Run from the checkout: ``python tests/bench/audio_sweep.py [--tempos 40 100 180 300] [--keys 12]``.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import soundfile

from porchswing.audio.master.audio_files import write_audio
from porchswing.chart.language.reader import parse_chart
from porchswing.errors import PorchswingError
from porchswing.options import BandStyle, Choices, SoundSettings
from porchswing.rhythm.patterns import pattern_names
from porchswing.take import take_from_chart

KEYS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
CHART = """title: Sweep
key: C
meter: {meter}

[A]
| C | A7 | Dm7 | G7 | C#dim7 | G9 | Fm6 | C6{{hold}} |
"""
METERS = ("4/4", "3/4", "6/8", "2/4", "12/8")


def takes(kinds, keys, tempos):
    """Yield every combination that makes sense: its name and its take."""
    for kind in kinds:
        for name in pattern_names(kind):
            chart = None
            for meter in METERS:
                candidate = parse_chart(CHART.format(meter=meter))
                style = replace(BandStyle(), **{kind: name})
                try:
                    take_from_chart(candidate, Choices(style=style))
                except PorchswingError:
                    continue
                chart = candidate
                break
            if chart is None:
                print(f"{kind} {name}: fits none of {', '.join(METERS)}")
                continue
            for key in keys:
                for tempo in tempos:
                    chosen = replace(style, tempo_bpm=tempo)
                    yield (
                        f"{kind} {name} {key} {tempo}",
                        take_from_chart(chart, Choices(key=key, style=chosen)),
                    )


def main() -> None:
    """Sweep and print the worst of everything."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--keys", type=int, default=12, help="how many of the twelve keys")
    options.add_argument("--tempos", type=float, nargs="+", default=[40, 90, 160, 300])
    options.add_argument("--kinds", nargs="+", default=["strum", "bass", "drums"])
    options.add_argument("--rate", type=int, default=44100)
    chosen = options.parse_args()
    worst_peak, worst_dc, least_room, bad = (-99.0, ""), (0.0, ""), (99.0, ""), []
    count, length_s, start = 0, 0.0, time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.wav"
        for name, take in takes(chosen.kinds, KEYS[: chosen.keys], chosen.tempos):
            report = write_audio(take.performance, path, SoundSettings(rate_hz=chosen.rate))
            sound = soundfile.read(path, dtype="int16")[0]
            largest = max(int(sound.max()), -int(sound.min()))
            finite = np.isfinite([report.loudness_lufs, report.true_peak_dbtp]).all()
            if largest >= 32767 or not finite or report.true_peak_dbtp > -1.0 + 1e-6:
                bad.append(name)
            dc_dbfs = 20 * np.log10(max(np.abs(sound.mean(axis=0)).max() / 32768, 1e-9))
            worst_peak = max(worst_peak, (report.true_peak_dbtp, name))
            least_room = min(least_room, (-report.held_back_db, name))
            worst_dc = max(worst_dc, (dc_dbfs + 200, name))
            count, length_s = count + 1, length_s + report.seconds
    print(
        f"{count} takes, {length_s / 60:.0f} minutes of sound, {time.perf_counter() - start:.0f} s"
    )
    print(f"worst true peak {worst_peak[0]:.2f} dBTP ({worst_peak[1]})")
    print(f"most held back by the ceiling {-least_room[0]:.1f} dB ({least_room[1]})")
    print(f"largest DC {worst_dc[0] - 200:.1f} dBFS ({worst_dc[1]})")
    print(f"samples at full scale, not a number or above the ceiling: {len(bad)} takes {bad[:10]}")
    sys.exit(bool(bad))


if __name__ == "__main__":
    main()
