"""A quiz on paper: chords and what became of them; the student names the swap.

python demos/recipes/swap_quiz.py tune.changes 3

The number is the depth, 1 to 4. Questions come first, answers after a form feed.
"""

from __future__ import annotations

import sys

import porchswing as ps


def main(chart_path: str, depth: str) -> None:
    chart = ps.read_chart(chart_path)
    lead = ps.reharmonize(chart, depth=int(depth))
    seen: dict[str, ps.Swap] = {}
    for swap in lead.swaps:
        seen.setdefault(swap.name, swap)  # each kind of swap once
    print(f"{chart.title}, in {chart.key}\n")
    for number, swap in enumerate(seen.values(), 1):
        before, after = " ".join(swap.before), " ".join(swap.after)
        print(f"{number}. {swap.section}, bar {swap.bar}: {before} became {after}. Why?")
    print("\f\nAnswers\n")
    for number, swap in enumerate(seen.values(), 1):
        print(f"{number}. {swap.name}. {swap.reason}")


if __name__ == "__main__":
    main(*sys.argv[1:])
