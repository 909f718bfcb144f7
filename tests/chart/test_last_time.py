"""A section for the last time: played in its base's place at the end of the last chorus."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import is_last_time, unroll
from porchswing.errors import OptionError
from porchswing.harmony.choice.reharmonize import reharmonize

TEXT = "key: C\nform: A B A-last\n[A]\n| C |\n[B]\n| F |\n[A-last]\n| C6 |\n"


def order(text: str, choruses: int, **how: object) -> list[str]:
    chart = parse_chart(text)
    return [bar.section for bar in unroll(chart, choruses=choruses, **how).bars]  # type: ignore[arg-type]


@pytest.mark.parametrize("choruses", [1, 2, 3])
def test_only_the_last_chorus_ends_with_it(choruses: int) -> None:
    early = ["A", "B", "A"] * (choruses - 1)
    assert order(TEXT, choruses) == [*early, "A", "B", "A-last"]


def test_asked_for_by_name_it_is_played_as_it_stands() -> None:
    assert order(TEXT, 2, sections=("A-last",)) == ["A-last", "A-last"]


def test_a_wrong_name_is_not_answered_with_it() -> None:
    with pytest.raises(OptionError, match=r"unknown section 'Z'; known: A B$"):
        order(TEXT, 1, sections=("Z",))


def test_without_a_base_it_is_a_section_like_any_other() -> None:
    text = TEXT.replace("[A]", "[D]").replace("form: A B", "form: D B")
    assert not is_last_time(parse_chart(text), "A-last")
    assert order(text, 2) == ["D", "B", "A-last"] * 2


def test_what_the_reharmoniser_writes_is_played_so() -> None:
    lead = reharmonize(parse_chart("key: Bb\n[A]\n| Bb | Gm | Cm | F7 |\n"), 2)
    assert lead.chart.form == ("A-last",)
    first, last = (
        [
            slot.chord.symbol
            for bar in lead.chart.section(name).lane("swing")
            for slot in bar.slots
            if slot.chord
        ]
        for name in ("A", "A-last")
    )
    assert first[1].startswith(("G7", "G9", "Bdim7")), "VI7, or what stands for it"
    assert [symbol[0] for symbol in first[2:]] == ["C", "F"]
    assert last[-1].startswith("Bb6")
    assert [bar.section for bar in unroll(lead.chart, "swing", choruses=2).bars][::4] == [
        "A",
        "A-last",
    ]
