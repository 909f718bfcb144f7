"""Which key a tune lies best in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.transpose import transpose
from porchswing.grips.search.best_key import KeyRank, rank_keys
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.hand import Hand
from porchswing.theory.keys import Key


@pytest.mark.parametrize("key", ["F", "A minor"])
def test_twelve_keys_the_best_first(key):
    chart = parse_chart(f"key: {key}\n[A]\n| F6 D7 | Gm7 C7 | F6 | % |")
    ranks = rank_keys(chart)
    assert len({rank.key.tonic.pc for rank in ranks}) == 12
    assert all(rank.key.mode == chart.key.mode for rank in ranks)
    costs = [rank.cost for rank in ranks]
    assert costs == sorted(costs)
    written = next(rank for rank in ranks if rank.key == chart.key)
    assert written.cost == voice(chart).cost
    best = ranks[0]
    assert best.cost == voice(transpose(chart, best.key)).cost


def test_locks_and_windows_of_the_written_key_do_not_count():
    bound = parse_chart("key: C\nfrets: 7-12\n[A]\nfrets: 9-12\n| C6@9-9-8-10 | A7 |")
    free = parse_chart("key: C\n[A]\n| C6 | A7 |")
    assert [rank.cost for rank in rank_keys(bound)] == [rank.cost for rank in rank_keys(free)]


def test_a_key_nobody_can_grip_comes_last_with_its_trouble():
    chart = parse_chart("key: C\n[A]\n| C5 | G |")
    ranks = rank_keys(chart, hand=Hand(max_fret=6))
    assert ranks[0].cost is not None
    assert ranks[-1].cost is None
    assert "no closed grip" in ranks[-1].trouble


@pytest.mark.parametrize(
    ("missed", "words"),
    [(0, ""), (1, "1 note outside the voice"), (2, "2 notes outside the voice")],
)
def test_what_a_voice_does_not_reach_is_said_in_words(missed, words):
    assert KeyRank(Key.parse("C"), 1.0, None, notes_outside=missed).unsung == words


def test_a_key_is_shown_with_its_cost_and_what_stands_against_it():
    key = Key.parse("Bb")
    assert str(KeyRank(key, 1.234, None)) == "Bb: 1.23"
    assert str(KeyRank(key, 1.234, None, "1 note out of reach")) == "Bb: 1.23; 1 note out of reach"
    assert str(KeyRank(key, None, None, "no grip for C5")) == "Bb: no grip for C5"


CIRCLE = ("C", "F", "G", "Bb", "D", "Eb", "A", "Ab", "E", "Db", "B")
"""The major keys but one by their signs, from any primer: none, one, one, two, two, and so on."""


def test_ties_favour_the_written_then_the_plainer_key():
    chart = parse_chart("key: Ab\n[A]\n| Ab6 |")
    alike = rank_keys(chart, lambda _, **__: replace(voice(chart), cost=1.0))
    names = [str(rank.key) for rank in alike]
    assert names[0] == "Ab"
    assert names[11] in ("F#", "Gb")
    signs = [(CIRCLE.index(name) + 1) // 2 for name in names[1:11]]
    assert signs == sorted(signs)
