"""Write the lanes of random tunes out, read them again, and count those that read otherwise.

Run it from the repository: ``python tests/bench/recognition_sweep.py 500 7``, so many tunes and a
seed; the same seed asks the same tunes.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.swaps.catalogue import OWN
from support.sweeping import sweep


def main(count: int, start: int) -> None:
    """Sweep so many lanes from a seed and print every one that reads otherwise."""
    differ: list[str] = []
    own = 0

    def look(chart: Chart, depth: int) -> None:
        nonlocal own
        lead = reharmonize(chart, depth)
        said = replace(lead.chart, settings=replace(lead.chart.settings, depth=depth))
        again = reharmonize(parse_chart(write_chart(said)))
        own += any(swap.name == OWN.name for swap in again.swaps)
        if set(again.swaps) != set(lead.swaps):
            gone = [s for s in lead.swaps if s not in again.swaps]
            differ.append("\n".join([f"depth {depth}", *map(str, gone), write_chart(said)]))

    sweep(count, start, look)
    sys.stdout.write("\n".join(differ))
    sys.stdout.write(f"\n{len(differ)} of {count} lanes read otherwise, {own} with your own\n")


if __name__ == "__main__":
    given_numbers = [int(word) for word in sys.argv[1:]]
    main(*given_numbers, *(500, 1)[len(given_numbers) :])
