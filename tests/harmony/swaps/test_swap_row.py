"""Every row of the catalogue: where it belongs, where it does not, and what melody forbids it.

The examples are common practice, no single source.
"""

from __future__ import annotations

import pytest

from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.swaps.catalogue import OWN, SWAPS, find_swap, rows_for
from support.lanes import lane_text, short_chart, swung
from support.swap_cases import CASES


def test_every_row_has_a_case() -> None:
    assert sorted(CASES) == sorted(row.name for row in SWAPS)


@pytest.mark.parametrize("name", CASES)
def test_where_it_belongs(name: str) -> None:
    case = CASES[name]
    chart = short_chart(case.bars, key=case.key, ending=case.ending, melody=case.tune)
    lead = reharmonize(chart, 0, use=[name])
    assert lane_text(lead, case.section) == case.swing
    assert {swap.name for swap in lead.swaps} == {name}
    assert not lead.blocked


@pytest.mark.parametrize("name", CASES)
def test_where_it_does_not_belong(name: str) -> None:
    case = CASES[name]
    chart = short_chart(case.never, key=case.never_key or case.key)
    lead = reharmonize(chart, 0, use=[name])
    assert lead.chart.section("A").swing == chart.section("A").plain
    assert lead.swaps == ()


@pytest.mark.parametrize("name", [name for name in CASES if CASES[name].melody])
def test_melody_forbids_it(name: str) -> None:
    case = CASES[name]
    chart = short_chart(case.bars, key=case.key, melody=case.melody, ending=case.ending)
    lead = reharmonize(chart, 0, use=[name])
    assert lane_text(lead) != case.swing
    assert name in {one.name for one in lead.blocked}
    assert all(one.reason.startswith("the melody note") for one in lead.blocked)


def test_melody_forbids_the_ending_tag() -> None:
    text = short_chart("| G7 |", ending="| C | % | % | % |\nmelody | r:4 | r:2 G4:2 | r:4 | r:4 |")
    lead = reharmonize(text, 0, use=["ending tag"])
    assert lane_text(lead, "Z") == "C | C | C | C"
    assert lead.blocked[0].name == "ending tag"


@pytest.mark.parametrize("row", SWAPS, ids=lambda row: row.name)
def test_words_of_a_row(row: object) -> None:
    swap = find_swap(row.name)  # type: ignore[attr-defined]
    assert swap.reason.endswith(".")
    assert swap.reason.count(". ") == 0, "one sentence"
    assert all((swap.when, swap.effect, swap.listen, swap.melody, swap.source))
    assert not swap.listen.endswith("."), "the sentence it stands in has its own full stop"
    assert 1 <= swap.depth <= 4


def test_deeper_has_all_of_shallower() -> None:
    sizes = [len(rows_for(depth, asked=depth > 0)) for depth in range(5)]
    assert sizes == sorted(set(sizes))
    assert sizes[0] == 0
    assert sizes[4] == len(SWAPS) >= 20
    for depth in range(4):
        assert set(rows_for(depth)) <= set(rows_for(depth + 1))


def test_no_natural_eleventh_against_a_major_third() -> None:
    """Frets 5577 on gCEA sound C F B E: no G13, because C is its eleventh."""
    chart = short_chart("| G7 | C | F | A7 | Dm | G | E7 | Am |")
    for depth in range(5):
        for bar in reharmonize(chart, depth).chart.section("A").lane("swing"):
            for slot in bar.slots:
                assert slot.chord is not None
                degrees = {str(degree) for degree in slot.chord.quality.degrees}
                assert not {"3", "11"} <= degrees
                assert not {"3", "4"} <= degrees


@pytest.mark.parametrize(("goal", "played"), [("C", "Db7"), ("Cdim7", "G7"), ("Cdim", "G7")])
def test_no_tritone_substitution_leads_to_a_diminished_chord(goal: str, played: str) -> None:
    lane = swung(f"| Dm7 | G7 | {goal} | C |", use=["tritone substitution"])
    assert lane.split(" | ")[1] == played


def test_words_of_a_change_of_your_own() -> None:
    assert OWN.reason.endswith(".")
    assert not OWN.listen.endswith(".")
