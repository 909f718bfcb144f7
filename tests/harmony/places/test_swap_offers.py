"""The offers for one place: different swaps, what they change, and what the melody says."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.errors import OptionError
from porchswing.harmony.places.swap_offer import SwapOffer
from porchswing.harmony.places.swap_offers import swap_offers
from porchswing.theory.symbols import parse_chord
from support.lane_rules import broken
from support.offered_lanes import offered_lanes
from support.strategies import tunes


def as_played(bars: str, more: str = "", key: str = "C") -> Chart:
    """Return a chart whose swing lane is its plain lane, so that offers start from there."""
    return parse_chart(f"key: {key}\n[A]\nplain {bars}\nswing {bars}\n{more}")


def names(offers: tuple[SwapOffer, ...]) -> list[str]:
    return [offer.name for offer in offers]


def test_a_dominant_has_its_well_known_stand_ins() -> None:
    offers = swap_offers(as_played("| Dm7 | G7 | C | C |"), "A", 2, count=12)
    found = {offer.name: offer.symbols for offer in reversed(offers)}
    assert found["tritone substitution"] == ("Db9",)
    assert found["backdoor ♭VII7"] == ("Bb9",)
    assert len(offers) == 12
    assert len({offer.name for offer in offers[:6]}) == 6


@pytest.mark.parametrize(
    ("key", "bars", "symbols"),
    [("C", "| G | C |", ("D9", "G")), ("Am", "| E7 | Am |", ("B9", "E7b9"))],
)
def test_one_bar_of_v_may_have_its_own_v(key: str, bars: str, symbols: tuple[str, ...]) -> None:
    offers = swap_offers(as_played(bars, key=key), "A", 1, count=24)
    assert {offer.name: offer.symbols for offer in offers}["V of V before V"] == symbols


def test_an_offer_over_more_bars_says_what_else_changes() -> None:
    offers = swap_offers(as_played("| C | Am | Dm | G7 | C |"), "A", 4, count=24)
    flat = next(offer for offer in offers if offer.name == "turnaround ♭III ♭VI ♭II")
    assert flat.symbols == ("Db9",)
    assert [(change.bar, change.after) for change in flat.changes] == [
        (1, ("C6",)),
        (2, ("Eb9",)),
        (3, ("Ab9",)),
    ]


def test_the_melody_is_judged_and_what_clashes_comes_last() -> None:
    chart = as_played("| Dm7 | G7 | C | C |", "melody | r:4 | A4:4 | r:4 | r:4 |\n")
    offers = swap_offers(chart, "A", 2, count=20)
    fits = [offer.fits for offer in offers]
    assert fits == sorted(fits, reverse=True)
    assert False in fits
    found = {offer.name: offer for offer in offers}
    assert "semitone above" in found["tritone substitution"].melody
    assert "A is the 9 of G13" in found["dominant thirteenth"].melody


@pytest.mark.parametrize(("note", "symbol"), [("A4", "G9"), ("Ab4", "G7b9")])
def test_the_colour_that_the_tune_asks_for_is_among_the_first(note: str, symbol: str) -> None:
    chart = as_played("| Dm7 | G7 | C | C |", f"melody | r:4 | {note}:4 | r:4 | r:4 |\n")
    assert symbol in [" ".join(offer.symbols) for offer in swap_offers(chart, "A", 2)]


def test_a_neighbour_that_no_longer_fits_goes_back_to_the_written_chord() -> None:
    bars = "key: C\n[A]\nplain | C | C | G7 | C | C |\nswing | C | C | G7 | Em7 | C |\n"
    offers = swap_offers(parse_chart(bars), "A", 3, count=20)
    backdoor = next(offer for offer in offers if offer.name == "backdoor ♭VII7")
    assert [(change.bar, change.before, change.after) for change in backdoor.changes] == [
        (4, ("Em7",), ("C",))
    ]


def test_offers_are_the_same_every_time_and_never_what_is_played() -> None:
    chart = as_played("| C | Am | Dm | G7 | C |")
    for bar in range(1, 6):
        offers = swap_offers(chart, "A", bar)
        assert offers == swap_offers(chart, "A", bar)
        now = tuple(slot.chord.symbol for slot in chart.section("A").plain[bar - 1].slots)  # type: ignore[union-attr]
        assert all(offer.symbols != now or offer.changes for offer in offers)


@pytest.mark.parametrize(("section", "bar", "beat"), [("B", 1, 1), ("A", 9, 1), ("A", 1, 5)])
def test_a_place_that_is_not_there(section: str, bar: int, beat: int) -> None:
    with pytest.raises(OptionError):
        swap_offers(as_played("| C | Am | Dm | G7 |"), section, bar, beat)


def test_what_sounds_elsewhere_only_comes_after_what_sounds_here() -> None:
    """The turnarounds keep C6 in the first bar: they are offers for the bars behind it."""
    offers = swap_offers(as_played("| C | Am | Dm | G7 | C |"), "A", 1, count=24)
    here = [offer.symbols[0] != "C6" or len(offer.symbols) > 1 for offer in offers]
    assert "turnaround I VI7 ii V7" not in names(offers[: here.count(True)])
    assert names(offers)[0] != "turnaround ♭III ♭VI ♭II"


@pytest.mark.parametrize(("bars", "bar"), [("| C | Am | Dm | G7 | C |", 2), ("| G7 | C |", 1)])
def test_families_take_turns_and_plain_swaps_come_first(bars: str, bar: int) -> None:
    first = names(swap_offers(as_played(bars), "A", bar))
    assert len(set(first)) >= 6
    assert sum(" + " in name for name in first) <= 2


def test_the_last_bar_may_lead_round_to_the_top_though_the_tune_ends_there() -> None:
    offers = swap_offers(as_played("| C | Am | Dm | G7 |"), "A", 4)
    assert ("Db9",) in [offer.symbols for offer in offers]


def test_the_ii_of_a_substitute_is_offered_where_a_semitone_follows_alone() -> None:
    """A7 gave way to Eb7 when the offer was made, but A7 is what follows in the lane."""
    chart = parse_chart("key: Dm\n[A]\n| Dm | Gm | A7 | Dm |\n| Dm | E7 | A7 | Dm |")
    assert "ii of a substitute" not in names(swap_offers(chart, "A", 6, count=24))
    slides = parse_chart("key: C\n[A]\n| C | Am | Ab7 | G7 | C |")
    assert "ii of a substitute" in names(swap_offers(slides, "A", 3, count=24))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.data())
def test_what_an_offer_names_holds_in_the_lane_it_makes(chart: Chart, data: st.DataObject) -> None:
    """Neighbours that go back to the written chords take nothing from the swap that is named."""
    section = data.draw(st.sampled_from(chart.sections))
    bar = data.draw(st.integers(1, len(section.plain)))
    for name, lead in offered_lanes(chart, section.name, bar):
        assert broken(lead) == [], name


def test_nothing_comes_between_a_chord_from_outside_the_key_and_its_goal() -> None:
    """Ebm7 slides down into Dm7, and Fm7 steps up to G7: no A7 and no D7 stands between."""
    for bars, bar in (("| C | Am | Em | Em | Dm | G7 | C |", 4), ("| C | Dm | Dm | G7 | C |", 3)):
        for offer in swap_offers(as_played(bars), "A", bar, count=24):
            assert offer.name != "iii ♭iii ii + secondary dominant"
            assert offer.name != "minor iv for ii + secondary dominant"


def in_degrees(chart: Chart, bar: int) -> list[tuple[object, ...]]:
    """Return the offers for a bar as they are in any key."""
    tonic = chart.key.tonic.pc

    def counted(symbols: tuple[str, ...]) -> list[tuple[int, str, int]]:
        chords = [parse_chord(symbol) for symbol in symbols]
        return [
            ((c.root.pc - tonic) % 12, c.quality.suffix, (c.bass_note.pc - tonic) % 12)
            for c in chords
        ]

    return [
        (offer.name, counted(offer.symbols), offer.beats, [counted(c.after) for c in offer.changes])
        for offer in swap_offers(chart, "A", bar, count=24)
    ]


@pytest.mark.parametrize(
    ("key", "bars"),
    [
        ("C", "C | Am | Dm | G7 | Em A7 | F Fm | C | C"),
        ("A minor", "Am | Dm | E7 | Am | F | Bm7b5 | E7 | Am"),
        pytest.param(
            "F",
            "F7 | Bb7 | F7 | F7 | Bb7 | Bdim7 | F7 | D7 | Gm7 | C7 | F7 | C7",
            marks=pytest.mark.slow,
        ),
    ],
)
def test_the_offers_are_alike_in_every_key(key: str, bars: str) -> None:
    """Two spellings of one chord are one offer: in B it was Eb7, in C it was D#7 besides."""
    chart = parse_chart(f"key: {key}\n[A]\nplain | {bars} |\n")
    count = len(chart.section("A").plain)
    home = [in_degrees(chart, bar) for bar in range(1, count + 1)]
    for pc in range(1, 12):
        there = replace(chart.key, tonic=chart.key.spell(chart.key.tonic.pc + pc)).simple
        moved = transpose(chart, there)
        assert [in_degrees(moved, bar) for bar in range(1, count + 1)] == home


def bare(symbols: tuple[str, ...]) -> tuple[tuple[int, str], ...]:
    """Return root and family of each chord: what it is whatever colour it wears."""
    chords = [parse_chord(symbol) for symbol in symbols]
    return tuple((chord.root.pc, chord.quality.family) for chord in chords)


def test_twins_by_colour_and_swaps_of_swaps_come_after_the_others() -> None:
    plain = as_played("| C | Am | Dm | G7 | C |")
    written = [bare((str(bar.slots[0].chord),)) for bar in plain.section("A").plain]
    offers = swap_offers(plain, "A", 2)
    lanes = []
    for offer in offers:
        lane = list(written)
        lane[1] = bare(offer.symbols)
        for change in offer.changes:
            lane[change.bar - 1] = bare(change.after)
        lanes.append(tuple(lane))
    assert len(set(lanes)) == len(lanes)
    assert not [name for name in names(offers) if " + " in name]


def test_a_last_time_of_its_own_is_no_way_out_of_the_others() -> None:
    """A goes round to F; the last time alone it leads to the C7 of the ending."""
    verse, blues = (
        "| F | F | C | C | G7 | G7 | C | C |",
        "| C7 | C7 | C7 | C7 | F7 | F7 | C7 | C7 |",
    )
    chart = parse_chart(f"key: C\nending: B\n[A]\n{verse}\n[B]\n{blues}\n")
    found = names(swap_offers(chart, "A", 8, count=24))
    assert not [name for name in found if name.startswith("turnaround")]
