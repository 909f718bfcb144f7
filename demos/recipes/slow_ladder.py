"""A tempo ladder for one section: practice mixes from slow to the tune's own tempo.

python demos/recipes/slow_ladder.py tune.changes B out/
"""

from __future__ import annotations

import sys
from pathlib import Path

import porchswing as ps

STEPS = (0.6, 0.7, 0.8, 0.9, 1.0)
"""Shares of the chart's tempo."""


def main(chart_path: str, section: str, folder: str) -> None:
    chart = ps.read_chart(chart_path)
    lead = ps.reharmonize(chart)
    grips = ps.voice(lead)
    for step in STEPS:
        tempo = round(step * chart.tempo_bpm)
        take = ps.arrange(lead, grips, tempo=tempo, section=section, choruses=2, without="chords")
        path = Path(folder, f"{section}-{tempo}bpm.wav")
        report = take.write_audio(path)
        print(f"{path}: {report.seconds:.0f} s at {report.loudness_lufs:.1f} LUFS")


if __name__ == "__main__":
    main(*sys.argv[1:])
