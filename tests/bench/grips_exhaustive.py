"""Every grip under every fingering tried, against the search: more and longer than the tests do.

Random progressions of two short sections in each of four tunings; the five best must cost what
trying everything says, and each must cost what a count finger by finger says.
Run: PYTHONPATH=tests python tests/bench/grips_exhaustive.py [PROGRESSIONS] [MOST_WAYS]
"""

from __future__ import annotations

import random
import sys
import time
from itertools import pairwise

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.shapes.hand import CLOSED_HAND
from porchswing.grips.shapes.tunings import tuning
from support.exhaustive_grips import Exhaustive, steps
from support.made import voice_roadmap

TUNINGS = ("gCEA", "GCEA", "DGBE", "GDAE")
FORMS = ("A", "A A", "A B", "A A B A", "A B A B")
SUFFIXES = ("7", "7", "9", "m7", "6", "maj7", "m6", "dim7", "", "m")
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
BEST = 5


def random_text(rng: random.Random) -> str:
    form = rng.choice(FORMS)
    rows = [f"form: {form}"]
    for name in sorted(set(form.split())):
        chords = [rng.choice(ROOTS) + rng.choice(SUFFIXES) for _ in range(rng.randint(2, 4))]
        if rng.random() < 0.4:  # a sequence: two chords, and again transposed
            up = rng.randrange(1, 12)
            chords = chords[:2] + [_transposed(chord, up) for chord in chords[:2]]
        rows += [f"[{name}]", f"| {' | '.join(chords)} |"]
    return "\n".join(rows)


def _transposed(chord: str, up: int) -> str:
    root = chord[:2] if chord[1:2] in "b#" and chord[1:2] else chord[:1]
    return ROOTS[(ROOTS.index(root) + up) % 12] + chord[len(root) :]


def main(progressions: int, most_ways: int) -> None:
    rng = random.Random("exhaustive bench")
    start = time.perf_counter()
    for name in TUNINGS:
        checked = ways = 0
        while checked < progressions:
            text = random_text(rng)
            sections = parse_chart(text).sections
            chords = [slot.chord for section in sections for bar in section.plain
                      for slot in bar.slots]  # fmt: skip
            if any(one == other for one, other in pairwise(chords)):
                continue
            low = rng.randint(1, 6)
            frets = (low, low + rng.choice((3, 4, 5)))
            road = unroll(parse_chart(text))
            reference = Exhaustive(road, tuning(name), CLOSED_HAND, frets=frets)
            if not 2 <= reference.size <= most_ways:
                continue
            every = reference.least()
            found = voice_roadmap(road, tuning(name), best=BEST, frets=frets)
            costs = [steps(way.cost) for way in found]
            assert costs == every[:BEST], (text, frets, costs, every[:BEST])
            checked += 1
            ways += reference.size
        print(f"{name}: {checked} progressions, {ways:,} ways tried, every answer the best")
    print(f"{time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 200,
        int(sys.argv[2]) if len(sys.argv) > 2 else 400,
    )
