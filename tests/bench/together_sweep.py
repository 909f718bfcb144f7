"""Play both lanes of random tunes at once, from their MIDI files, and count tones that rub.

Run it from the repository: ``python tests/bench/together_sweep.py 500 7``, so many tunes and a seed.
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from support.both_lanes import both_lanes, rubs
from support.strategies import tunes


def main(count: int, start: int) -> None:
    """Sweep so many tunes from a seed; print every one that rubs, and for how long."""
    found: list[str] = []
    lengths: Counter[int] = Counter()
    pairs = 0

    @seed(start)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(tunes(), st.integers(1, 4))
    def sweep(chart: Chart, depth: int) -> None:
        nonlocal pairs
        plain, swing = both_lanes(chart, depth)
        pairs += len(plain) + len(swing)
        if rubbing := rubs(plain, swing):
            said = replace(chart, settings=replace(chart.settings, depth=depth))
            longest = max(rubbing, key=lambda rub: rub.ticks)
            lengths.update(rub.ticks // 60 * 60 for rub in rubbing)
            found.append(f"{len(rubbing)} rubs, the longest {longest}\n{write_chart(said)}")

    sweep()
    sys.stdout.write("\n".join(found))
    sys.stdout.write(f"\nticks of the rubs: {sorted(lengths.items())}\n")
    sys.stdout.write(f"{len(found)} of {count} tunes rub, {pairs} notes read\n")


if __name__ == "__main__":
    given_numbers = [int(word) for word in sys.argv[1:]]
    main(*given_numbers, *(500, 1)[len(given_numbers) :])
