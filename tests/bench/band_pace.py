"""How long the band takes over a thousand bars, step by step: processor time, best of five.

Run: python tests/bench/band_pace.py [BARS]
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from porchswing.band.bass.bass_part import bass_part
from porchswing.band.compose import compose_score
from porchswing.band.drumming.drum_part import drums_part
from porchswing.band.strumming.chord_part import chords_part
from porchswing.midi.smf import midi_bytes
from porchswing.options import BandStyle
from porchswing.performance.perform import perform
from support import made


def best_ms(work: Callable[[], object]) -> float:
    """Return the quickest of five runs in milliseconds."""
    times = []
    for _ in range(5):
        started = time.process_time()
        work()
        times.append(time.process_time() - started)
    return 1000 * min(times)


def main() -> None:
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    chart = made.parse_chart(made.TUNE)
    voicing = made.voice(chart, lane="plain", grips="closed")
    roadmap = made.unroll(chart, lane="plain", choruses=-(-wanted // 32))
    style = BandStyle()
    score = compose_score(chart, roadmap, voicing, style)
    take = perform(score)
    steps = {
        "bass": lambda: bass_part(roadmap, style, chart.key),
        "drums": lambda: drums_part(roadmap, style),
        "chords": lambda: chords_part(roadmap, voicing, style),
        "compose, all": lambda: compose_score(chart, roadmap, voicing, style),
        "perform": lambda: perform(score),
        "write MIDI": lambda: midi_bytes(take),
    }
    print(f"{len(roadmap.bars)} bars, {sum(len(part.notes) for part in take.parts)} notes")
    for name, work in steps.items():
        print(f"{name:14} {best_ms(work):7.0f} ms")


if __name__ == "__main__":
    main()
