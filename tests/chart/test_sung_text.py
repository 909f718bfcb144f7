"""Words as they are printed under bars."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.sung_text import sung_text


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Lan-tern street", ["Lantern street", ""]),
        ("* a-", ["a-", ""]),
        ("see | _ now", ["see", "now"]),
        ("see | _", ["see", "_"]),
        ("to~the * sea *", ["to the sea", ""]),
    ],
)
def test_words_are_whole_again(words: str, expected: list[str]) -> None:
    bars = words.split(" | ")
    text = f"[A]\n| F | C |\nwords | {' | '.join([*bars, *['*'] * (2 - len(bars))])} |\n"
    (verse,) = parse_chart(text).sections[0].words
    assert [sung_text(bar) for bar in verse] == expected
