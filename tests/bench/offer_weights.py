"""Fit the weights that rank the offers to the published before-and-afters: prints the tables.

Run it from the repository: ``python tests/bench/offer_weights.py``. It prints how many afters are
among the first eight and among 24, with weights fitted on all sources and, the honest figure, with
weights fitted without the source in question; then the tables of ``harmony/places/weights.py``.

The model is a conditional logit: of all offers for a place the printed after has the chance
exp(weight) over the sum. Large weights are taxed, so that what was seen once says little.
"""

from __future__ import annotations

import re
import sys
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.harmony.places import ranking
from porchswing.harmony.places.place_scene import scene_at
from porchswing.harmony.places.ranking import Candidate, features, heard, in_order
from porchswing.harmony.places.swap_offers import _candidates, ways_at
from support.published_eighth import EIGHTH
from support.published_fifth import FIFTH
from support.published_fresh import FRESH
from support.published_held_out import HELD_OUT
from support.published_seventh import SEVENTH
from support.published_sixth import SIXTH
from support.published_swaps import PUBLISHED, Published

TAX, COUNT_TAX = 0.7, 0.03
"""How large weights are taxed: those of one thing, and those of a count."""
LEAST = 0.05
"""Smaller weights are left out."""
EIGHT, ALL = 8, 24


class Example(NamedTuple):
    """A published example as offers: where it was printed, the offers, which is the after."""

    source: str
    offers: tuple[Candidate, ...]
    right: tuple[bool, ...]


def chart_of(key: str, bars: str) -> Chart:
    """Return a chart whose two lanes are the same bars."""
    return parse_chart(f"key: {key}\n[A]\nplain | {bars} |\nswing | {bars} |\n")


def example_of(published: Published) -> Example:
    """Return the offers for the first bar that changes, and which of them is the after."""
    chart, wanted = (chart_of(published.key, bars) for bars in (published.before, published.after))
    bars = [
        [bar.strip() for bar in text.split("|")] for text in (published.before, published.after)
    ]
    played = [scene_at(each, "A", 1) for each in (chart, wanted)]
    lanes = [[heard(bar) for bar in scene.bars(scene.lane)] for scene in played]
    sounds = lanes if lanes[0] != lanes[1] else bars
    place = next(n for n, (old, new) in enumerate(zip(*sounds, strict=True)) if old != new)
    scene = scene_at(chart, "A", place + 1)
    span, quiet = scene.span(place + 1), replace(scene.view, melody=())
    indices = range(
        scene.written_at(span.start), scene.written_at(span.start + span.pulses - 1) + 1
    )
    ways = [way for index in indices for way in ways_at(quiet, index, span)]
    now = scene.bars(scene.lane)
    offers = tuple(_candidates(scene, ways, now, place))
    right = []
    for offer in offers:
        lane = list(lanes[0])
        for bar, sound in offer.lane:
            lane[bar] = sound
        symbols = scene.played(scene.laid(offer.way.steps, now)[place])[0]
        alike = sounds is lanes or " ".join(symbols) == bars[1][place]
        right.append(lane == lanes[1] and alike)
    source = re.split("[,:(]", published.source)[0].strip()
    return Example(source, offers, tuple(right))


class Fit:
    """The examples as numbers."""

    def __init__(self, examples: list[Example]) -> None:
        found = [[features(offer) for offer in each.offers] for each in examples]
        self.words = sorted({word for rows in found for row in rows for word in row})
        self.tables = [
            np.array([[row.get(word, 0.0) for word in self.words] for row in rows])
            for rows in found
        ]
        self.right = [np.array(each.right) for each in examples]
        taxes = [COUNT_TAX if word.startswith("count") else TAX for word in self.words]
        self.taxes = np.array(taxes)

    def weights(self, chosen: Iterable[int]) -> np.ndarray:
        """Return the weights that make the afters of some examples most likely."""
        known = [number for number in chosen if self.right[number].any()]

        def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
            value, slope = 0.5 * float(self.taxes @ weights**2), self.taxes * weights
            for number in known:
                table, right = self.tables[number], self.right[number]
                scores = table @ weights
                chances = np.exp(scores - scores.max())
                chances /= chances.sum()
                hit = chances * right
                value -= float(np.log(hit.sum()))
                slope = slope + table.T @ (chances - hit / hit.sum())
            return value, slope

        return minimize(loss, np.zeros(len(self.words)), jac=True, method="L-BFGS-B").x


def places_of(examples: list[Example], words: list[str], weights: list[np.ndarray]) -> list[int]:
    """Return the place of every after, from 1, 0 where it is not among the offers."""
    places = []
    for example, own in zip(examples, weights, strict=True):
        table = dict(zip(words, own, strict=True))
        ranking._weight_of = lambda word, table=table: float(table.get(word, 0.0))
        right = {
            id(offer)
            for offer, is_right in zip(example.offers, example.right, strict=True)
            if is_right
        }
        order = (
            place for place, offer in enumerate(in_order(example.offers), 1) if id(offer) in right
        )
        places.append(next(order, 0))
    return places


def main() -> None:
    """Print the figures and the tables."""
    published = (*PUBLISHED, *HELD_OUT, *FRESH, *FIFTH, *SIXTH, *SEVENTH, *EIGHTH)
    examples = [example_of(each) for each in published]
    fit, numbers = Fit(examples), range(len(examples))
    everything = fit.weights(numbers)
    without = {
        source: fit.weights(n for n in numbers if examples[n].source != source)
        for source in sorted({each.source for each in examples})
    }
    for name, weights in (
        ("fitted on all", [everything for _ in examples]),
        (f"without its own of {len(without)} sources", [without[each.source] for each in examples]),
    ):
        places = places_of(examples, fit.words, weights)
        eight, all_of = (sum(0 < place <= most for place in places) for most in (EIGHT, ALL))
        print(f"{name}: of {len(examples)} {eight} in eight, {all_of} in 24")
    tables: dict[str, list[str]] = defaultdict(list)
    for word, weight in sorted(zip(fit.words, everything, strict=True), key=lambda one: -one[1]):
        kind, _, rest = word.partition(" ")
        if abs(weight) >= LEAST:
            tables[kind].append(f'    "{rest}": {weight:.2f},')
    for kind, rows in tables.items():
        print(f"{kind.upper()} = {{", *rows, "}", sep="\n")


if __name__ == "__main__":
    main()
