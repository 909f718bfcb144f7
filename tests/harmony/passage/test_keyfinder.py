"""A new key is one that lasts: four bars with a ii–V–I of their own, not two.

Common practice, no source: a player who reads four bars of Fm7 B♭7 E♭ E♭ in a tune in C thinks
in E♭; two bars of it, or four in a neighbour's key (IV, V, vi), are a visit.
"""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.analysis.roman import read_chart_roman

AROUND = "| C | Am | Dm7 | G7 | {} | Dm7 | G7 | C | C |"


def keys_of(bars: str) -> list[str]:
    """Return the key of the first chord of each bar."""
    chart = parse_chart(f"key: C\n[A]\n{bars}\n")
    return [
        str(read.reading.key) for read in read_chart_roman(chart) if read.reading and not read.slot
    ]


@pytest.mark.parametrize(
    ("bars", "key"),
    [
        ("Fm7 | Bb7 | Eb | Eb", "Eb"),
        ("F#m7 | B7 | E | E", "E"),
        ("Bbm7 | Eb7 | Ab | Ab", "Ab"),
        ("Cm7 | F7 | Bb | Bb", "Bb"),
    ],
)
def test_four_bars_with_their_own_cadence_are_a_new_key(bars: str, key: str) -> None:
    assert keys_of(AROUND.format(bars)) == ["C"] * 4 + [key] * 4 + ["C"] * 4


@pytest.mark.parametrize(
    "bars",
    [
        "Bbm7 Eb7 | Ab",
        "Fm7 Bb7 | Eb",
        "Gm7 | C7 | F | F",
        "Am7 | D7 | G | G",
        "Bm7b5 | E7 | Am | Am",
    ],
)
def test_two_bars_or_a_neighbour_are_a_visit(bars: str) -> None:
    assert set(keys_of(AROUND.format(bars))) == {"C"}


@pytest.mark.parametrize(
    ("key", "bars"),
    [
        ("C", "C | Bm7b5 E7 | Am7 | Dm7"),
        ("C minor", "Cm7 | Gm7b5 C7 | Fm7"),
        ("Bb", "Bb | Fm7 Bb7 | Eb"),
    ],
)
def test_a_short_tune_that_ends_on_a_visit_stays_in_its_key(key: str, bars: str) -> None:
    """It comes back to its top: heard twice over, the visit once counted for two."""
    chart = parse_chart(f"key: {key}\n[A]\n| {bars} |\n")
    assert {str(each.reading.key) for each in read_chart_roman(chart) if each.reading} == {key}


def test_a_tune_that_comes_back_to_its_top_comes_back_to_its_key() -> None:
    """The C7 at the end leads to the F at the top, which is IV of C."""
    verse, blues = (
        "| F | F | C | C | G7 | G7 | C | C |",
        "| C7 | C7 | C7 | C7 | F7 | F7 | C7 | C7 |",
    )
    chart = parse_chart(f"key: C\nmeter: 3/4\n[A]\n{verse}\n[B]\n| A7 | B7 |\n[C]\n{blues}\n")
    assert {str(each.reading.key) for each in read_chart_roman(chart) if each.reading} == {"C"}
