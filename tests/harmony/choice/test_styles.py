"""The table of styles agrees with itself, and a blues is told by the chords of its home."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.choice.styles import OPENING, STYLES, style_of
from porchswing.harmony.swaps.catalogue import GROUPS
from porchswing.theory.qualities import QUALITIES


@pytest.mark.parametrize("name", STYLES)
def test_a_row_says_something_of_groups_and_colours_there_are(name: str) -> None:
    style = STYLES[name]
    assert {*style.groups, *style.shares, *OPENING} <= GROUPS
    assert {*style.colours} <= {*QUALITIES}
    assert 0.0 not in {*style.groups.values(), *style.colours.values()}, "says nothing"
    assert all(0.0 <= share <= 1.0 for share in style.shares.values())


def test_every_group_is_spoken_of_by_a_style_or_at_home_in_all() -> None:
    spoken = {group for style in STYLES.values() for group in (*style.groups, *style.shares)}
    assert GROUPS - spoken == {"ii–V", "stand-in"}, "a row names a group that no style knows"


def test_a_style_that_likes_a_group_has_more_room_for_it_than_one_that_shuns_it() -> None:
    for group in GROUPS:
        told = [
            (style.groups[group], style.shares[group], style.name)
            for style in STYLES.values()
            if group in style.groups and group in style.shares
        ]
        liked = [one for one in told if one[0] > 0]
        shunned = [one for one in told if one[0] < 0]
        assert all(a[1] > b[1] for a in liked for b in shunned), (group, liked, shunned)


@pytest.mark.parametrize(
    ("key", "bars", "style"),
    [
        ("C", "| C7 | F | F | F | C7 | F | F | G7 |", "medium swing"),
        ("G", "| G7 | C | C | C | G7 | C | C | D7 |", "medium swing"),  # IV lies below the tonic
        ("G", "| G7 | C7 | G7 | C | G7 | C7 | G7 | D7 |", "blues"),
        ("C", "| C | F7 | C | F7 | C | F7 | C | G7 |", "medium swing"),
    ],
)
def test_in_a_blues_tonic_and_subdominant_are_sevenths(key: str, bars: str, style: str) -> None:
    chart = parse_chart(f"key: {key}\ntempo: 120\n[A]\n{bars}\n")
    assert style_of(chart, chart.sections[0]).name == style
