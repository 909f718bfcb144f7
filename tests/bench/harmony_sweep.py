"""Reharmonise thousands of random tunes and count what does not hold: prints figures.

Run it from the repository: ``python tests/bench/harmony_sweep.py 6000``. It prints how often each
swap was checked in the finished lane, and the tunes in which one broke or ``check`` doubted us.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "harmony" / "choice"))

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from test_lane_properties import broken

from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.harmony.analysis.review import review
from porchswing.harmony.choice.reharmonize import reharmonize
from support.strategies import tunes


def main(count: int) -> None:
    """Sweep so many tunes."""
    swaps: Counter[str] = Counter()
    wrong: list[str] = []

    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(tunes(), st.integers(1, 4), st.integers())
    def sweep(chart: Chart, depth: int, _: int) -> None:
        lead = reharmonize(chart, depth)
        swaps.update(swap.name for swap in lead.swaps)
        found = broken(lead) + [str(problem) for problem in review(lead.chart)]
        if found:
            wrong.append("\n".join([f"depth {depth}", *found, write_chart(chart)]))

    sweep()
    for name, number in sorted(swaps.items()):
        print(f"{number:7} {name}")
    print(f"{len(wrong)} of {count} tunes do not hold")
    print("\n".join(wrong[:3]))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
