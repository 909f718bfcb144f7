"""``list`` shows every row there is."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group
from porchswing.cli.tune.list_ import WHATS


@pytest.mark.parametrize("what", WHATS)
def test_list_shows_rows_with_distinct_names(what: str) -> None:
    text = CliRunner().invoke(group, ["list", what])
    told = json.loads(CliRunner().invoke(group, ["list", what, "--json"]).stdout)
    assert text.exit_code == 0, text.output
    names = [row["name"] for row in told["rows"]]
    assert len(set(names)) == len(names) >= 5
    assert all(any(line.startswith(name) for line in text.stdout.splitlines()) for name in names)
    assert all(row["about"] for row in told["rows"])


def test_list_patterns_lines_hands_up_with_their_counts() -> None:
    rows = json.loads(CliRunner().invoke(group, ["list", "patterns", "--json"]).stdout)["rows"]
    lines = next(row["lines"] for row in rows if row["name"] == "strum four")
    count, hand = next(
        (lines[i + 1], lines[i + 2]) for i, line in enumerate(lines) if line == "groove:"
    )
    assert len(count.split()) == len(hand.split())
    assert [count.index(f" {n} ") for n in (1, 2, 3)] == [
        i - 1 for i, c in enumerate(hand) if c == "D"
    ][:3]


@pytest.mark.parametrize(
    ("what", "answer"),
    [
        ("swap", "mean 'swaps'?"),
        ("strums", "mean 'patterns'?"),
        ("zzz", "parts, voices, got 'zzz'"),
    ],
)
def test_a_word_near_a_list_is_answered_with_it(what: str, answer: str) -> None:
    done = CliRunner().invoke(group, ["list", what])
    assert done.exit_code == 2
    assert answer in done.output


def test_without_a_word_the_lists_are_named_in_one_sentence() -> None:
    done = CliRunner().invoke(group, ["list"])
    assert "swaps, parts, voices. For example: porchswing list patterns\n" in done.output
