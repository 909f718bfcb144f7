"""Is every mix as loud as asked? Twenty mixes, with and without chords, with and without count.

The three demos in both lanes and fourteen strums of every meter at tempos from 60 to 240 bpm are
written as ``render`` writes them and measured by FFmpeg's ebur128 filter (EBU R 128, ITU-R
BS.1770): each must lie within 0.2 LU of the loudness asked for and under -1 dBTP (FFmpeg finds a
true peak within 0.3 dB), held down by the limiter by at most 3 dB.

Run from the checkout: ``python tests/bench/audio_levels.py [--mixes N]``. Needs ``ffmpeg``.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from porchswing.audio.master.audio_files import write_files
from porchswing.audio.mix.strikes import schedule_of
from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.model import Chart
from porchswing.options import DEFAULTS, Choices
from porchswing.take import take_from_chart

ROOT = Path(__file__).resolve().parents[2]
FAR_LU = 0.2
MOST_DBTP = -0.7
"""The ceiling of -1 dBTP, and how far two meters may differ above it."""

MOST_REDUCTION_DB = 3.0

FORM = """title: Level {strum}
key: G
meter: {meter}
tempo: {tempo}
strum: {strum}
form: A A B A

[A]
| G | E7 | A7 | D7 | G | E7 | D9 | G |

[B]
| C | Cm6 | G | G | A7 | A7 | D7 | D7 |
"""
FOUR_STRUMS = (
    ("four", 200), ("charleston", 160), ("boom_chuck", 120), ("shuffle", 130), ("island", 100),
    ("picked", 90), ("tremolo", 80), ("bossa", 130), ("ballad", 60), ("fan_roll", 110),
    ("rag", 240),
)  # fmt: skip
OTHER_STRUMS = (("waltz", "3/4", 150), ("six_eight", "6/8", 70), ("polka", "2/4", 120))


def mixes() -> Iterator[tuple[str, Chart, Choices]]:
    """Yield name, chart and choices of every mix."""
    for chart in sorted((ROOT / "demos").glob("*.changes")):
        for lane in ("plain", "swing"):
            yield f"{chart.stem} {lane}", read_chart(chart), Choices(lane=lane)
    for strum, meter, tempo in [*((one, "4/4", bpm) for one, bpm in FOUR_STRUMS), *OTHER_STRUMS]:
        text = FORM.format(strum=strum, meter=meter, tempo=tempo)
        yield f"{strum} {meter} {tempo}", parse_chart(text), Choices()


def heard(path: Path) -> tuple[float, float]:
    """Return integrated loudness in LUFS and true peak in dBTP as FFmpeg measures them."""
    command = ["ffmpeg", "-nostats", "-hide_banner", "-i", str(path)]
    command += ["-af", "ebur128=peak=true:framelog=verbose", "-f", "null", "-"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stderr
    loudness = re.findall(r"I:\s+(-?[\d.]+|-inf) LUFS", text)
    peak = re.findall(r"Peak:\s+(-?[\d.]+|-inf) dBFS", text)
    return float(loudness[-1]), float(peak[-1])


def main() -> None:
    """Print the table; fail where a mix is too far from what was asked."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--mixes", type=int, default=20)
    chosen = options.parse_args()
    target = DEFAULTS.sound.loudness_lufs
    bad, worst = 0, 0.0
    print(f"asked {target} LUFS; with chords and count, no count, no chords, neither: "
          "LUFS heard, (true peak dBTP), most taken off")  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "mix.wav"
        for name, chart, choices in list(mixes())[: chosen.mixes]:
            row = f"{name:34}"
            for without in ((), ("count",), ("chords",), ("chords", "count")):
                take = take_from_chart(chart, replace(choices, without=without))
                report = write_files(schedule_of(take.performance), [path], choices.sound)
                lufs, peak = heard(path)
                off = abs(lufs - target)
                is_bad = off > FAR_LU or peak > MOST_DBTP
                is_bad |= report.reduction_db > MOST_REDUCTION_DB + 0.01
                worst, bad = max(worst, off), bad + is_bad
                mark = "!" if is_bad else " "
                row += f" {lufs:6.1f} ({peak:4.1f}) {report.reduction_db:3.1f}{mark}"
            print(row, flush=True)
    print(f"furthest from what was asked {worst:.1f} LU (FFmpeg prints tenths); {bad} mixes beyond")
    sys.exit(bool(bad))


if __name__ == "__main__":
    main()
