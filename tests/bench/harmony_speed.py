"""How long a 200-bar chart takes to reharmonise, and how that grows: prints seconds.

Run it from the repository: ``python tests/bench/harmony_speed.py``.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.choice.reharmonize import reharmonize

PHRASES = (
    "| C | Am | Dm | G7 |",
    "| C C7 | F Fm | C G7 | C |",
    "| Em7 A7 | Dm7 G7 | C | % |",
    "| E7 | % | A7 | % |",
    "| D7 | % | G7 | % |",
    "| F | C | Dm G7 | C |",
    "| Cm | % | Fm | G7 |",
)


def chart_text(bars: int, seed: int) -> str:
    """Return one section of so many bars, its phrases in a seeded order."""
    random = Random(f"bench/{seed}")
    lines = [random.choice(PHRASES) for _ in range(bars // 4)]
    return "key: C\ntempo: 130\n[A]\n" + "\n".join(lines) + "\n"


def main() -> None:
    """Print the best of three runs for each size and depth."""
    for bars in (50, 100, 200, 400):
        chart = parse_chart(chart_text(bars, 1))
        row = []
        for depth in range(5):
            best = min(_seconds(chart, depth) for _ in range(3))
            row.append(f"depth {depth}: {best:.3f} s")
        print(f"{bars:4} bars  " + "  ".join(row))


def _seconds(chart: object, depth: int) -> float:
    start = time.perf_counter()
    reharmonize(chart, depth)  # type: ignore[arg-type]
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
