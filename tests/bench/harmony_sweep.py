"""Reharmonise thousands of random tunes and count what does not hold: prints figures.

Run it from the repository: ``python tests/bench/harmony_sweep.py 6000 1``, 6,000 tunes drawn with
seed 1. It prints how often each swap was checked in the finished lane, and every tune
in which one broke or ``check`` doubted us, as soon as it is found.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.harmony.analysis.review import review
from porchswing.harmony.choice.reharmonize import reharmonize
from support.lane_rules import broken
from support.sweeping import sweep


def main(count: int, first: int) -> None:
    """Sweep so many tunes, drawn with this seed."""
    swaps: Counter[str] = Counter()
    wrong = 0

    def look(chart: Chart, depth: int) -> None:
        nonlocal wrong
        lead = reharmonize(chart, depth)
        swaps.update(swap.name for swap in lead.swaps)
        found = broken(lead) + [str(problem) for problem in review(lead.chart)]
        if found:
            wrong += 1
            print(f"depth {depth}", *found, write_chart(chart), sep="\n", flush=True)

    sweep(count, first, look)
    for name, number in sorted(swaps.items()):
        print(f"{number:7} {name}")
    print(f"{wrong} of {count} tunes do not hold")


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:] or ("2000", "1")))
