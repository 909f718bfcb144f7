"""Cards for a flash-card program: every chord of a tune with its easiest grips, as CSV.

python demos/recipes/grip_cards.py tune.changes 7 > cards.csv

The number is the highest fret.
"""

from __future__ import annotations

import csv
import sys

import porchswing as ps

GRIPS_A_CARD = 3


def main(chart_path: str, max_fret: str) -> None:
    lead = ps.reharmonize(ps.read_chart(chart_path))
    bars = [bar for section in lead.chart.sections for bar in section.lane("swing")]
    chords = {slot.chord: None for bar in bars for slot in bar.slots if slot.chord}
    rows = csv.writer(sys.stdout, lineterminator="\n")
    rows.writerow(["chord", "notes", "grips"])
    for chord in chords:
        grips = ps.grips_of(chord, lead.chart.tuning, grips="closed", max_fret=int(max_fret))
        notes = " ".join(str(note) for note in chord.notes)
        rows.writerow([chord.symbol, notes, " ".join(str(g) for g in grips[:GRIPS_A_CARD])])


if __name__ == "__main__":
    main(*sys.argv[1:])
