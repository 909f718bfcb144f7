"""The teacher's choices: every one is checked when it is made."""

from __future__ import annotations

from fractions import Fraction

import pytest

from porchswing.band.style import BandStyle
from porchswing.chart.model import SwingSetting
from porchswing.errors import OptionError


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("density", 1.5, "density must be from 0 to 1, got 1.5"),
        ("variation", -0.1, "variation must be from 0 to 1, got -0.1"),
        ("backbeat", 2, "backbeat must be from 0 to 1, got 2"),
        ("slides", float("nan"), "slides must be from 0 to 1, got nan"),
        ("ritardando", 1.1, "ritardando must be from 0 to 1, got 1.1"),
        ("feel", 3, "feel must be from 0 to 1, got 3"),
        ("tempo_bpm", 0, "tempo must be from 10 to 600, got 0"),
        ("chorus_tempos_bpm", (80, 700), "tempo must be from 10 to 600, got 700"),
        ("swing", SwingSetting(Fraction(5)), "swing must be from 1 to 4, got 5"),
        ("count_in_bars", -1, "count_in_bars must be from 0 to 8, got -1"),
    ],
)
def test_a_choice_out_of_range_names_field_range_and_value(
    field: str, value: object, said: str
) -> None:
    with pytest.raises(OptionError) as caught:
        BandStyle(**{field: value})  # type: ignore[arg-type]
    assert str(caught.value) == said


def test_the_ends_of_the_ranges_are_allowed() -> None:
    assert BandStyle(density=0, variation=1, backbeat=1, slides=0, ritardando=1, feel=1)
    assert BandStyle(swing=SwingSetting(None), tempo_bpm=30, count_in_bars=0)
