"""The bass line's search against every line there is."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise, product, zip_longest
from math import inf

import pytest

from porchswing.band.bass import bass_line
from porchswing.band.bass.bass_line import best_line
from porchswing.band.bass.bass_notes import BassOnset, Candidate, candidates
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord

F = Key.parse("F")
CASES = [
    [("root", "F"), ("walk", "F"), ("lead", "F"), ("arrive", "Bb7")],
    [("root", "C7"), ("chord", "C7"), ("chord", "C7"), ("root", "C7")],
    [("arrive", "Dm7"), ("fifth", "Dm7"), ("arrive", "G7/B"), ("lead", "G7/B")],
    [("pedal", "F"), ("pedal", "Gm7"), ("pedal", "C7"), ("root", "F")],
]


def spots_of(case: list[tuple[str, str]]) -> list[BassOnset]:
    chords = [parse_chord(symbol) for _, symbol in case]
    spots = []
    for n, (word, _) in enumerate(case):
        entry = n == 0 or chords[n] != chords[n - 1]
        spots.append(BassOnset(Fraction(n), Fraction(1), word, 0.7, chords[n], 0, entry))
    return spots


def cost_of(line: tuple[Candidate, ...], words: list[str]) -> float:
    """Return what a line costs, counted move by move as the rules say it."""
    total = sum(candidate.cost for candidate in line)
    moves = [
        (b.pitch - a.pitch, a.leave, word)
        for (a, b), word in zip(pairwise(line), words[1:], strict=True)
    ]
    for interval, leave, word in moves:
        repeats_freely = interval == 0 and word == "pedal"
        if abs(interval) > min(leave, 12) or (interval == 0 and leave < 12 and not repeats_freely):
            return inf
        total += 0.0 if repeats_freely else bass_line.INTERVAL_COST[abs(interval)]
    for (first, _, _), (second, _, word) in pairwise(moves):
        if first == second == 0 and word != "pedal":
            return inf
        if first * second < 0:
            total += bass_line.TURN_COST
        if first * second > 0 and min(abs(first), abs(second)) >= 5:
            total += bass_line.SECOND_LEAP_COST
    return total


@pytest.mark.parametrize("case", CASES, ids=lambda case: " ".join(word for word, _ in case))
def test_no_line_is_cheaper_than_the_one_found(case, monkeypatch):
    monkeypatch.setattr(bass_line, "CHANCE_COST", 0.0)
    spots = spots_of(case)
    words = [spot.word for spot in spots]
    choices = [candidates(s, after, F) for s, after in zip_longest(spots, spots[1:])]
    found = best_line(spots, F, 0)
    by_pitch = [{candidate.pitch: candidate for candidate in each} for each in choices]
    own = cost_of(tuple(each[pitch] for each, pitch in zip(by_pitch, found, strict=True)), words)
    cheapest = min(cost_of(line, words) for line in product(*choices))
    assert own == pytest.approx(cheapest)
    assert own < inf
