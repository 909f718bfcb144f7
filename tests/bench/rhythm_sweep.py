"""Thousands of random charts and seeds through the chord part: what must never happen, counted.

    python tests/bench/rhythm_sweep.py [COUNT] [FIRST_SEED]

The rules are those of ``tests/support/strum_rules.py``; ``band_thousand.py`` sweeps the whole band.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.band.strumming.chord_part import chords_part
from porchswing.options import BandStyle
from support.strategies import random_arrangement
from support.strum_rules import missing_faults, ringing_faults, slide_faults, string_faults


def faults(seed: int) -> Iterator[str]:
    chance = Random(seed)
    style = BandStyle(
        density=chance.random(),
        variation=chance.random(),
        slides=chance.random(),
        loop=chance.random() < 0.5,
        seed=seed,
    )
    _, roadmap, voicing = random_arrangement(seed)
    events = chords_part(roadmap, voicing, style).events
    yield from ringing_faults(roadmap, voicing, events)
    yield from missing_faults(roadmap, voicing, events)
    yield from string_faults(events)
    _, roadmap, voicing = random_arrangement(seed, marked=False)
    unmarked = chords_part(roadmap, voicing, BandStyle(slides=1.0, seed=seed, loop=True))
    yield from slide_faults(unmarked.events)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    bad, start = 0, time.perf_counter()
    for seed in range(first, first + count):
        for fault in faults(seed):
            bad += 1
            if bad <= 10:
                print(f"seed {seed}: {fault}", flush=True)
    print(f"{count} charts, {bad} faults, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
