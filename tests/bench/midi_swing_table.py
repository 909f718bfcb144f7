"""Swing measured from written MIDI files, read back by pretty_midi, against the ratio asked for.

Run: python tests/bench/midi_swing_table.py
Every cell is the measured ratio of long to short eighth (ride cymbal, median of the beats);
the last columns give the worst error of the row as a share and in milliseconds.
"""

from __future__ import annotations

import sys
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import pretty_midi

from porchswing.midi.smf import midi_bytes
from porchswing.performance.perform import perform
from support import made

RATIOS = (1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0, 3.25, 3.5)
TEMPOS = (60, 72, 90, 100, 120, 138, 160, 180, 200, 220, 240, 260, 280, 300)
BEATS = 64


def measured(ratio: float, bpm: float, humanize: float) -> tuple[float, float]:
    """Return the median ratio heard in the file and the worst off-beat error in seconds."""
    score = made.hand_made(made.rides(BEATS), quarter_bpm=bpm, ratio=ratio, beats=BEATS)
    data = midi_bytes(perform(score, humanize=humanize))
    notes = pretty_midi.PrettyMIDI(BytesIO(data)).instruments[0].notes
    onsets = sorted(note.start for note in notes)
    gaps = [b - a for a, b in pairwise(onsets)]
    ratios = [long / short for long, short in zip(gaps[::2], gaps[1::2], strict=False)]
    expected = [60 / bpm * (beat + ratio / (ratio + 1)) for beat in range(BEATS)]
    worst = max(abs(a - b) for a, b in zip(onsets[1::2], expected, strict=True))
    return median(ratios), worst


def main() -> None:
    for humanize in (0.0, 0.3):
        print(
            f"\nhumanize {humanize}\nratio   " + "".join(f"{bpm:>7}" for bpm in TEMPOS) + "   worst"
        )
        for ratio in RATIOS:
            cells = [measured(ratio, bpm, humanize) for bpm in TEMPOS]
            share = max(abs(found / ratio - 1) for found, _ in cells)
            late_ms = 1000 * max(worst for _, worst in cells)
            row = "".join(f"{found:7.3f}" for found, _ in cells)
            print(f"{ratio:5.2f}   {row}  {share:6.2%} {late_ms:6.2f} ms")


if __name__ == "__main__":
    main()
