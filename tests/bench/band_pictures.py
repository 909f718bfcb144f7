"""Eight bars of every bass style and drum groove: as counted text, and as piano-roll pictures.

Run: python tests/bench/band_pictures.py FOLDER
"""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import matplotlib as mpl

from porchswing.band.bass.bass_part import bass_part
from porchswing.band.bass.bass_style import load_bass_style
from porchswing.band.drumming.drum_groove import PIECES, load_drum_groove
from porchswing.band.drumming.drum_part import drums_part
from porchswing.band.score import Hit, PartScore, Pluck
from porchswing.chart.roadmap import Roadmap
from porchswing.options import BandStyle
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import pattern_names
from porchswing.rhythm.tempo_plan import tempo_map_for
from porchswing.theory.keys import Key
from support import made

mpl.use("Agg")
import matplotlib.pyplot as plt

EIGHT = "| F Dm7 | Gm7 C7 | F F7 | Bb Bbm | F/C | D7 | Gm7 | C7 |"
EIGHT_ODD = "| F | Gm7 | C7 | F | Bb | F/C | C7 | F |"
NOTES = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]


def text_of(part: PartScore, roadmap: Roadmap) -> str:
    """Return the part bar by bar: beat of the bar, and the note or the pieces struck there."""
    rows = []
    for bar in roadmap.bars:
        end = bar.start_beats + bar.beats
        cells: dict[Fraction, list[str]] = {}
        for event in part.events:
            if bar.start_beats <= event.onset_beats < end:
                place = (event.onset_beats - bar.start_beats) / roadmap.meter.unit_beats + 1
                cells.setdefault(place, []).append(_name(event))
        words = [f"{float(at):g}:{'+'.join(names)}" for at, names in sorted(cells.items())]
        chords = " ".join(str(slot.chord) for slot in bar.slots)
        rows.append(f"  {chords:12} {'  '.join(words)}")
    return "\n".join(rows)


def _name(event: object) -> str:
    if isinstance(event, Pluck):
        return f"{NOTES[event.pitch % 12]}{event.pitch // 12 - 1}"
    assert isinstance(event, Hit)
    return f"{event.piece}{event.velocity * 10:.0f}"


def draw(parts: dict[str, tuple[PartScore, Roadmap]], path: Path) -> None:
    """Draw performed parts one above another: seconds across, pitch or piece up, loudness dark."""
    figure, axes = plt.subplots(len(parts), 1, figsize=(16, 2.6 * len(parts)), squeeze=False)
    for axis, (name, (part, roadmap)) in zip(axes[:, 0], parts.items(), strict=True):
        score = made.Score(
            name,
            (part,),
            tempo_map_for(roadmap, BandStyle(**{part.name: name})),
            (),
            Fraction(0),
            roadmap.beats,
        )
        take = perform(score)
        for note in take.parts[0].notes:
            row = PIECES.index(note.piece) if note.piece else note.pitch
            dark = 1 - note.velocity / 127
            length = max(note.end_s - note.onset_s, 0.02)
            width = length if note.piece in {None, "brush_sweep"} else 0.04
            axis.barh(row, width, left=note.onset_s, height=0.8, color=str(dark))
        for bar in roadmap.bars:
            axis.axvline(score.tempo_map.seconds(bar.start_beats), color="tab:red", lw=0.6)
        if part.name == "drums":
            axis.set_yticks(range(len(PIECES)), PIECES, fontsize=6)
        axis.set_title(name, loc="left", fontsize=9)
        axis.set_xlim(0, take.end_s)
    figure.tight_layout()
    figure.savefig(path, dpi=55)
    plt.close(figure)


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    makers = {
        "bass": (load_bass_style, lambda r, n: bass_part(r, BandStyle(bass=n), Key.parse("F"))),
        "drums": (load_drum_groove, lambda r, n: drums_part(r, BandStyle(drums=n))),
    }
    for kind, (load, make) in makers.items():
        parts = {}
        for name in pattern_names(kind):
            meter = str(load(name).meter)
            bars = EIGHT if meter == "4/4" else EIGHT_ODD
            roadmap = made.roadmap_of(bars, meter=meter, tempo=70 if "ballad" in name else 140)
            parts[name] = (make(roadmap, name), roadmap)
            print(f"\n{kind}/{name}: {load(name).when}\n{text_of(*parts[name])}")
        half = len(parts) // 2
        draw(dict(list(parts.items())[:half]), folder / f"{kind}_1.png")
        draw(dict(list(parts.items())[half:]), folder / f"{kind}_2.png")


if __name__ == "__main__":
    main()
