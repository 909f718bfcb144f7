"""Offers for a place, of every kind, and what is said of the place."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import OptionError
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.offered.choosing import PlaceOffer, choose
from porchswing.offered.offering import explain, offers

TUNE = "key: C\n[A]\nplain | C | Dm7 | G7 | C |\nswing | C6 | Dm7 | G7@0212{roll} | C6 |\n"


@pytest.mark.parametrize("kind", ["swap", "grip", "mark"])
def test_the_first_offer_is_what_stands_there_and_changes_nothing(kind) -> None:
    found = offers(parse_chart(TUNE), ("A", 3, 1), kind)
    assert [offer.is_now for offer in found] == [True] + [False] * (len(found) - 1)
    assert choose(TUNE, ("A", 3, 1), found[0]) == TUNE


@pytest.mark.parametrize("kind", ["swap", "grip", "mark"])
def test_every_offer_can_be_chosen_and_then_stands_there(kind) -> None:
    for offer in offers(parse_chart(TUNE), ("A", 3, 1), kind):
        slots = parse_chart(choose(TUNE, ("A", 3, 1), offer)).section("A").lane("swing")[2].slots
        if kind == "swap":
            assert tuple(slot.chord.symbol for slot in slots if slot.chord) == offer.bars[0].symbols
        elif kind == "grip":
            assert slots[0].lock == offer.frets
        else:
            assert slots[0].marks == offer.marks


def test_the_tritone_substitute_of_a_dominant_keeps_its_guide_tones() -> None:
    """Third and seventh change places (Terefenko, Jazz Theory, ch. 13; named from memory)."""
    found = offers(parse_chart(TUNE), ("A", 3, 1), "swap")
    sub = next(offer for offer in found if offer.bars[0].symbols == ("Db9",))
    assert set(sub.stays) == {"B", "F"}
    assert sub.depth is not None
    assert sub.reason


def test_grips_say_the_work_before_and_after_in_words_and_milliseconds() -> None:
    found = offers(parse_chart(TUNE), ("A", 2, 1), "grip")
    assert all(offer.before and offer.after for offer in found)
    assert all(offer.before_ms and offer.after_ms for offer in found)


def test_silence_has_no_offers() -> None:
    assert offers(parse_chart("[A]\n| N.C. |\n"), ("A", 1, 1), "grip") == ()


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(OptionError, match="kind must be one of swap, grip, mark"):
        offers(parse_chart(TUNE), ("A", 1, 1), "colour")


def test_explain_says_what_stands_and_what_a_choice_writes() -> None:
    words = explain(parse_chart(TUNE), ("A", 3, 4))
    assert (words.chord, words.numeral, words.beat, words.is_locked) == ("G7", "V7", 1, True)
    assert words.marks == ("roll",)
    assert "changes this bar" in words.writes
    made = explain(parse_chart("key: C\n[A]\n| C | G7 |\n"), ("A", 1, 1))
    assert "depth no longer acts" in made.writes


LAST_ONLY = """key: G

[A]
| G | Em7 | Am7 | D7 |
| G | G7 | C | Cm |

[B]
| Bm7 | E7 | Am7 | D7 |
| G Em7 | Am7 D7 | G | Gmaj7 |
"""


@pytest.mark.parametrize("bar", range(1, 9))
def test_a_section_that_is_only_heard_as_its_last_time_is_offered_as_it_is_heard(bar) -> None:
    """The end of the tune has no turnaround: B is played as its last time, and nothing else is."""
    chart = parse_chart(LAST_ONLY)
    made = reharmonize(chart, 2).chart
    heard = made.section("B-last").lane("swing")
    place = ("B", bar, 1)
    now = offers(chart, place, "swap")[0]
    sounds = tuple(slot.chord.symbol for slot in heard[bar - 1].slots)
    assert now.bars[0].symbols == sounds
    assert explain(chart, place).chord == sounds[0]
    assert len(offers(chart, place, "grip")) > 1
    new = parse_chart(choose(LAST_ONLY, place, PlaceOffer("mark", "", "", marks=("roll",))))
    written = new.section("B").lane("swing")
    assert [[slot.chord for slot in each.slots] for each in written] == [
        [slot.chord for slot in each.slots] for each in heard
    ]
