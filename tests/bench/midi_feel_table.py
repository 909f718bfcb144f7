"""Offsets, deviations, accents and strum spread measured from written MIDI files.

Run: python tests/bench/midi_feel_table.py
Read back by pretty_midi. The published figures stand in the head of each column.
"""

from __future__ import annotations

import sys
from fractions import Fraction
from io import BytesIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np
import pretty_midi

from porchswing.chart.model import SwingSetting
from porchswing.midi.smf import midi_bytes
from porchswing.options import BandStyle
from porchswing.performance.perform import perform
from support import made
from support.series import dfa_exponent, lag_1

TEMPOS = (60, 90, 120, 160, 200, 240, 300)
CHORUSES = 8


def row(bpm: float, humanize: float, seed: int) -> list[float]:
    """Return the measured figures of one take."""
    style = BandStyle(
        tempo_bpm=bpm, swing=SwingSetting(Fraction(2)), drums="ride", bass="walk", seed=seed
    )
    score = made.score_of(style=style, choruses=CHORUSES)
    data = midi_bytes(perform(score, humanize=humanize), channel_per_string=True)
    heard = pretty_midi.PrettyMIDI(BytesIO(data))
    beat_s, lead = 60 / bpm, float(score.count_in_beats)
    drums = next(i for i in heard.instruments if i.name == "drums").notes
    bass = next(i for i in heard.instruments if i.name == "bass").notes
    rides = _by_beat([n for n in drums if n.pitch == 51], beat_s, lead)
    lows = _by_beat(bass, beat_s, lead)
    beats = sorted(rides.keys() & lows.keys())
    late = np.array([rides[b][0] for b in beats])
    lag = np.array([lows[b][0] - rides[b][0] for b in beats])
    loud = np.array([rides[b][1] for b in beats])
    weak = np.array([b % 2 == 0 for b in beats])
    return [
        100 * lag.mean() / beat_s,
        1000 * lag.mean(),
        100 * np.std(np.diff(late)) / beat_s,
        dfa_exponent(late) if humanize else np.nan,
        lag_1(late) if humanize else np.nan,
        loud[~weak].mean() / loud[weak].mean(),
        1000 * _widest_spread(heard),
    ]


def _by_beat(
    notes: list[pretty_midi.Note], beat_s: float, lead: float
) -> dict[int, tuple[float, float]]:
    """Return, for notes near a beat, seconds late and velocity."""
    found = {}
    for note in notes:
        at = note.start / beat_s - lead
        if abs(at - round(at)) < 0.2:
            found[round(at)] = ((at - round(at)) * beat_s, float(note.velocity))
    return found


def _widest_spread(heard: pretty_midi.PrettyMIDI) -> float:
    """Return the longest time from string to string within plain strokes, in seconds."""
    starts = sorted(n.start for i in heard.instruments if i.name == "chords" for n in i.notes)
    widest, first, before = 0.0, starts[0], starts[0]
    for start in starts[1:]:
        if start - before > 0.012:
            widest, first = max(widest, before - first), start
        before = start
    return max(widest, before - first)


def main() -> None:
    print("asked/published: bass-drums 0..2 % and < 19 ms; deviation <= 5 % at full;")
    print("DFA 0.6..1.05; lag-1 > 0; ride 2&4 over 1&3 1.1..1.3; spread < 25 ms\n")
    print("humanize  bpm   bass%  bass ms   dev%    DFA  lag-1  accent  spread ms")
    for humanize in (0.0, 0.3, 1.0):
        for bpm in TEMPOS:
            figures = np.mean([row(bpm, humanize, seed) for seed in range(3)], axis=0)
            cells = "".join(f"{x:8.2f}" for x in figures)
            print(f"{humanize:8} {bpm:4} {cells}")


if __name__ == "__main__":
    main()
