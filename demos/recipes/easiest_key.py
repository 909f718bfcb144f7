"""The twelve keys of a tune by the work of the hand, the easiest first.

python demos/recipes/easiest_key.py tune.changes 2

The number is the widest stretch, in frets, of the hand that shall play it.
"""

from __future__ import annotations

import sys

import porchswing as ps

KEYS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def main(chart_path: str, max_stretch: str) -> None:
    chart = ps.read_chart(chart_path)
    costs: list[tuple[float, str]] = []
    for key in KEYS:
        lead = ps.reharmonize(ps.transpose(chart, key))
        try:
            grips = ps.voice(lead, max_stretch=int(max_stretch))
        except ps.GripError as error:
            print(f"{key:3} no: {error}")
            continue
        costs.append((grips.cost, key))
    for cost, key in sorted(costs):
        print(f"{key:3} {cost:6.1f}{'  as written' if key == str(chart.key.tonic) else ''}")


if __name__ == "__main__":
    main(*sys.argv[1:])
