"""Write the lanes of every chart in the tests and demos out, read them again, and compare.

Run it from the repository: ``python tests/bench/recognition_charts.py``. A chart is every text in
a Python file of the tests that reads as one, by itself or as the bars of a section.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.errors import PorchswingError
from porchswing.harmony.choice.reharmonize import reharmonize

ROOT = Path(__file__).resolve().parents[2]


def texts() -> Iterator[str]:
    """Yield the demos, and every text of the tests that may be a chart."""
    for path in sorted(ROOT.glob("demos/*.changes")):
        yield path.read_text(encoding="utf-8")
    for path in sorted(ROOT.glob("tests/**/*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and "|" in node.value:
                yield node.value


def chart_of(text: str) -> Chart | None:
    """Return the chart a text is, by itself or as bars, ``None`` where it is none."""
    for whole in (text, f"[A]\n{text}\n"):
        try:
            return parse_chart(whole)
        except PorchswingError:
            continue
    return None


def differs(chart: Chart, depth: int) -> bool:
    """Say whether the lane made at a depth reads otherwise; print it where it does."""
    lead = reharmonize(chart, depth)
    said = replace(lead.chart, settings=replace(lead.chart.settings, depth=depth))
    again = reharmonize(parse_chart(write_chart(said)))
    if again.swaps == lead.swaps and again.last == lead.last:
        return False
    gone = [str(swap) for swap in lead.swaps if swap not in again.swaps]
    sys.stdout.write("\n".join([f"depth {depth}", *gone, write_chart(said), ""]))
    return True


def main() -> None:
    """Compare every lane and print how many differ."""
    charts = [chart for text in dict.fromkeys(texts()) if (chart := chart_of(text)) is not None]
    found = [differs(chart, depth) for chart in charts for depth in (1, 2, 3, 4)]
    sys.stdout.write(f"{sum(found)} of {len(found)} lanes read otherwise\n")


if __name__ == "__main__":
    main()
