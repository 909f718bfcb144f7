"""How wrong may our weights be before the trade's own bridge is no longer the best answer?

Every weight is halved and doubled alone, then all of them at random, each between half and
double. The bridge E7 A9 D7 G9 must stay 7877 6777 5655 4555 in four settings: with no window,
in frets 4 to 8, with sevenths offered as ninths, and inside an A A B A whose bridge has that
window. Run: python tests/bench/grips_weights.py [TRIALS]
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import fields, replace

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.hand import CLOSED_HAND, Weights

TRADE = ["7877", "6777", "5655", "4555"]
BRIDGE = parse_chart("[B]\n| E7 | A9 | D7 | G9 |", "bridge")
SEVENTHS = parse_chart("[B]\n| E7 | A7 | D7 | G7 |", "sevenths")
AABA = parse_chart(
    "key: C\nform: A A B A\n[A]\n| C6 A7 | Dm7 G7 | C6 A7 | Dm7 G7 |\n"
    "| C6 C7 | F6 Fm6 | C6 G7 | C6 |\n[B]\nfrets: 4-8\n| E7 | % | A9 | % | D7 | % | G9 | % |",
    "aaba",
)


def bridge_grips(hand, chart, **choices):
    slots = voice(chart, hand=hand, **choices).slots
    grips = [str(slot.grip) for slot in slots if slot.section == "B"]
    return [grip for place, grip in enumerate(grips) if place == 0 or grips[place - 1] != grip]


SETTINGS = {
    "no window": lambda hand: bridge_grips(hand, BRIDGE),
    "frets 4-8": lambda hand: bridge_grips(hand, BRIDGE, frets=(4, 8)),
    "offered 7|9": lambda hand: bridge_grips(hand, SEVENTHS, offers=["7|9"]),
    "in A A B A": lambda hand: bridge_grips(hand, AABA),
}


def held(weights: Weights) -> dict[str, bool]:
    hand = replace(CLOSED_HAND, weights=weights)
    return {name: grips(hand) == TRADE for name, grips in SETTINGS.items()}


def main(trials: int) -> None:
    names = [field.name for field in fields(Weights)]
    kept: Counter[str] = Counter()
    for name in names:
        for factor in (0.5, 2.0):
            changed = replace(Weights(), **{name: getattr(Weights(), name) * factor})
            for setting, is_held in held(changed).items():
                kept[setting] += is_held
                if not is_held:
                    print(f"  lost with {name} x {factor}: {setting}")
    print(f"each weight halved and doubled alone, {2 * len(names)} changes:")
    for setting in SETTINGS:
        print(f"  {setting:<12} {kept[setting]}/{2 * len(names)}")
    for label, factors in (("half or double", (0.5, 2.0)), ("between", None)):
        rng = random.Random(f"weights/{label}")
        kept.clear()
        for _ in range(trials):
            changes = {
                name: getattr(Weights(), name)
                * (rng.choice(factors) if factors else 2.0 ** rng.uniform(-1, 1))
                for name in names
            }
            kept.update(name for name, is_held in held(Weights(**changes)).items() if is_held)
        print(f"all at random, {label}, {trials} times:")
        for setting in SETTINGS:
            print(f"  {setting:<12} {kept[setting]}/{trials}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
