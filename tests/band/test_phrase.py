"""The phrase's shape: lighter first section, fuller bridge and later choruses, rises in fours."""

from __future__ import annotations

from statistics import mean

from porchswing.band.places import energies
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll
from support.made import TUNE
from support.strategies import random_arrangement

# common practice, no source: how full a band plays over a form


def _by_section(choruses: int) -> dict[tuple[int, str, int], float]:
    roadmap = unroll(parse_chart(TUNE), lane="plain", choruses=choruses)
    found: dict[tuple[int, str, int], list[float]] = {}
    for bar, energy in zip(roadmap.bars, energies(roadmap), strict=True):
        found.setdefault((bar.chorus, bar.section, bar.pass_number), []).append(energy)
    return {key: mean(values) for key, values in found.items()}


def test_the_first_a_is_lightest_and_the_bridge_fullest() -> None:
    sections = {key: e for key, e in _by_section(1).items() if key[1] != "Tag"}
    first, second, bridge, last = sections.values()
    assert first < second == last < bridge


def test_later_choruses_are_fuller_but_not_for_ever() -> None:
    bridges = [e for (_, section, _), e in _by_section(8).items() if section == "B"]
    assert bridges[0] < bridges[1] < bridges[2] < bridges[3]
    assert len(set(bridges[3:])) == 1


def test_four_bar_phrases_rise_to_the_third_bar_and_relax() -> None:
    roadmap = unroll(parse_chart(TUNE), lane="plain")
    one, two, three, four = energies(roadmap)[:4]
    assert one < two < three > four


def test_the_second_half_of_eight_bars_is_fuller_and_the_ninth_bar_begins_anew() -> None:
    text = "[A]\n" + "| F | C | F | C " * 4 + "|\n"
    found = energies(unroll(parse_chart(text), lane="plain"))
    assert all(found[bar + 4] > found[bar] for bar in range(4))
    assert found[8:] == found[:8]


def test_energies_stay_small_for_any_form() -> None:
    for seed in range(200):
        _, roadmap, _ = random_arrangement(seed)
        found = energies(roadmap)
        assert len(found) == len(roadmap.bars)
        assert all(-0.15 <= energy <= 0.2 for energy in found)
