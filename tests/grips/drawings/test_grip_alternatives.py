"""Grips offered for one place: each with the true cost of the chart that holds it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import GripError
from porchswing.grips.drawings.grip_alternatives import grip_alternatives
from porchswing.grips.search.voice import voice

TUNES = (
    ("[A]\n| Dm7 G7 | Cmaj7 |", ("A", 1, 3)),
    ("form: A A B\n[A]\n| F6 D7 | Gm7 C7 |\n[B]\n| Bb6 | Bbm6 F6 |", ("A", 2, 1)),
    ("form: A A B\n[A]\n| F6 D7 | Gm7 C7 |\n[B]\n| Bb6 | Bbm6 F6 |", ("B", 1, 1)),
    ("[A]\n| E7 | A9 | D7 | G9 |", ("A", 3, 1)),
)


def locked(chart, grips):
    """A chart with every grip locked, by section, bar and slot."""

    def bars(section):
        for number, bar in enumerate(section.plain, 1):
            slots = [
                replace(slot, lock=grips[section.name, number, index])
                for index, slot in enumerate(bar.slots)
            ]
            yield replace(bar, slots=tuple(slots))

    sections = [replace(section, plain=tuple(bars(section))) for section in chart.sections]
    return replace(chart, sections=tuple(sections))


@pytest.mark.parametrize(("text", "place"), TUNES)
def test_each_costs_what_the_chart_costs_with_all_its_grips_locked(text, place):
    chart = parse_chart(text)
    chosen = voice(chart)
    grips = {(slot.section, slot.bar, slot.slot): slot.grip.frets for slot in chosen.slots}
    offered = grip_alternatives(chart, place, 5)
    assert len(offered) >= 3
    assert (offered[0].more, offered[0].grip.frets) == (0.0, grips[offered[0].places[0]])
    assert len({each.grip for each in offered}) == len(offered)
    for each in offered:
        changed = {**grips, **dict.fromkeys(each.places, each.grip.frets)}
        assert voice(locked(chart, changed)).cost == pytest.approx(each.cost)
        assert each.more == pytest.approx(each.cost - chosen.cost)
        assert all(step.needs_ms >= 0 and step.words for step in (*each.before, *each.after))


def test_a_chart_with_every_grip_locked_costs_what_the_search_counted():
    for text, _ in TUNES:
        chart = parse_chart(text)
        found = voice(chart)
        grips = {(slot.section, slot.bar, slot.slot): slot.grip.frets for slot in found.slots}
        assert voice(locked(chart, grips)).cost == found.cost


@pytest.mark.parametrize(
    ("place", "message"),
    [(("A", 1, 2), "no chord enters at beat 2"), (("A", 7, 1), "no bar 7"), (("Z", 1, 1), "Z")],
)
def test_a_place_without_a_chord_is_refused(place, message):
    with pytest.raises(GripError, match=message):
        grip_alternatives(parse_chart(TUNES[0][0]), place)
