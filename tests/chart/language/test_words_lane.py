r"""Syllables at their notes and beats.

The signs ``-`` ``_`` ``*`` ``~`` and ``\`` mean what the ABC standard 2.1 (abcnotation.com, section
5.1, alignment of words) says they mean; its own examples stand here with other words.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from porchswing.chart.language.mending import mend
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.words_lane import write_words
from porchswing.chart.language.writer import write_chart
from porchswing.chart.limits import MAX_VERSES
from porchswing.chart.model import Chart, Syllable
from porchswing.chart.singer import singing_doubts
from porchswing.chart.transpose import transpose
from porchswing.errors import ChartError
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.offered.choosing import PlaceOffer, choose

Sung = list[tuple[str, str, str]]


def sung(words: str, melody: str = "", meter: str = "4/4") -> Sung:
    """Return the syllables of one bar: text (with its hyphen), onset and length in beats."""
    lines = [f"meter: {meter}", "[A]", "plain | C |", f"words | {words} |"]
    lines += [f"melody | {melody} |"] if melody else []
    (bar,) = parse_chart("\n".join(lines)).sections[0].words[0]
    return [(each.text + "-" * each.is_joined, str(each.at), str(each.beats)) for each in bar]


@pytest.mark.parametrize(
    ("words", "melody", "expected"),
    [
        ("syll-a-ble", "C4:1 D4:1 E4:2",
         [("syll-", "0", "1"), ("a-", "1", "1"), ("ble", "2", "2")]),
        ("syll- a- ble", "C4:1 D4:1 E4:2",
         [("syll-", "0", "1"), ("a-", "1", "1"), ("ble", "2", "2")]),
        ("time _ now", "C4:1 D4:1 E4:2", [("time", "0", "2"), ("now", "2", "2")]),
        ("time__", "C4:1 D4:1 E4:2", [("time", "0", "4")]),
        ("o-_ver now", "C4:1 D4:1 E4:1 F4:1",
         [("o-", "0", "2"), ("ver", "2", "1"), ("now", "3", "1")]),
        ("* late", "C4:1 D4:3", [("late", "1", "3")]),
        ("of~the day", "C4:2 D4:2", [("of the", "0", "2"), ("day", "2", "2")]),
        (r"rock\-a bye", "C4:2 D4:2", [("rock-a", "0", "2"), ("bye", "2", "2")]),
        ("after rests", "r:1 C4:1 r:1 D4:1", [("after", "1", "1"), ("rests", "3", "1")]),
        ("_ gone", "C4:1 D4:3", [("", "0", "1"), ("gone", "1", "3")]),
        ("too ma-ny here", "C4:2 D4:2",
         [("too", "0", "2"), ("ma-", "2", "2"), ("ny", "2", "2"), ("here", "2", "2")]),
        ("夢 を み る", "C4:1 D4:1 E4:1 F4:1",
         [("夢", "0", "1"), ("を", "1", "1"), ("み", "2", "1"), ("る", "3", "1")]),
    ],
)  # fmt: skip
def test_syllables_take_the_notes_of_the_melody(words: str, melody: str, expected: Sung) -> None:
    assert sung(words, melody) == expected


@pytest.mark.parametrize(
    ("words", "meter", "expected"),
    [
        ("one", "4/4", [("one", "0", "4")]),
        ("one two", "4/4", [("one", "0", "2"), ("two", "2", "2")]),
        ("one _ _ two", "4/4", [("one", "0", "3"), ("two", "3", "1")]),
        ("* * Lan-tern street", "4/4",
         [("Lan-", "2", "1/2"), ("tern", "5/2", "1/2"), ("street", "3", "1")]),
        ("a b c", "3/4", [("a", "0", "1"), ("b", "1", "1"), ("c", "2", "1")]),
        ("a b", "6/8", [("a", "0", "3/2"), ("b", "3/2", "3/2")]),
        ("(oh my", "4/4", [("(oh", "0", "2"), ("my", "2", "2")]),
    ],
)  # fmt: skip
def test_without_a_melody_words_share_the_bar(words: str, meter: str, expected: Sung) -> None:
    assert sung(words, "", meter) == expected


TUNE = """\
title: Paper Boats
key: F
form: A A

[A]
plain   | F@2010 Dm7 | Gm7 C7 |
melody  | A4:1 C5:1 A4:2 | G4:2 r:2 |
words   | Pa-per boats | float |
words 2 | Pa-per hats | * |
"""


def words_of(chart: Chart) -> list[tuple[tuple[tuple[Syllable, ...], ...], ...]]:
    return [section.words for section in chart.sections]


def test_words_stay_in_another_key_and_under_a_swing_lane() -> None:
    chart = parse_chart(TUNE)
    moved = parse_chart(write_chart(transpose(chart, "Bb")))
    assert words_of(moved) == words_of(chart)
    swung = reharmonize(chart).chart
    assert parse_chart(write_chart(swung)).section("A").words == chart.section("A").words
    assert all(section.words == chart.section("A").words for section in swung.sections)


def test_a_choice_leaves_the_words_as_typed() -> None:
    text = choose(TUNE, ("A", 2, 1), PlaceOffer("mark", "slide", "", marks=("slide",)))
    kept = [line for line in TUNE.splitlines() if line.startswith(("words", "melody"))]
    assert [line for line in text.splitlines() if line.startswith(("words", "melody"))] == kept
    assert "{slide}" in text
    assert parse_chart(text).section("A").words == parse_chart(TUNE).section("A").words


def test_mending_touches_no_words() -> None:
    mended = mend(TUNE.replace("| Pa-per hats | * |", "│ am I here │ (oh |"))
    assert "words 2 | am I here | (oh |" in mended.text
    assert parse_chart(mended.text).section("A").words[1][1] == (
        Syllable(Fraction(0), Fraction(2), "(oh"),
    )


@pytest.mark.parametrize("words", ["Lan-tern glow", "of the", "of~the lan-tern light is", "a b c"])
@pytest.mark.parametrize("melody", ["C4:4", "C4:2 D4:2"])
def test_syllables_beyond_the_last_note_are_written_as_they_were(words: str, melody: str) -> None:
    chart = parse_chart(f"[A]\nplain | F |\nmelody | {melody} |\nwords | {words} |\n")
    section = chart.section("A")
    (((bar,),), melody_bars) = section.words, section.melody or ()
    assert write_words(bar, chart.meter, melody_bars[0]) == words
    assert parse_chart(write_chart(chart)).section("A").words == section.words


def test_doubts_about_words() -> None:
    text = "[A]\n| F | C |\nmelody | A4:2 C5:2 | r:4 |\nwords | o-ver the top | hey |\n"
    many, rest = singing_doubts(parse_chart(text))
    assert (many.line, many.column) == (4, 9)
    assert "4 syllables, 2 more than" in many.message
    assert "of~the" in many.hint
    assert (rest.line, rest.column) == (4, 25)
    assert "the melody rests" in rest.message
    assert not list(singing_doubts(parse_chart(TUNE)))


def test_what_the_language_cannot_say_is_refused() -> None:
    chart = parse_chart("[A]\n| F |\nwords | a |\n")
    odd = (((Syllable(Fraction(1, 7), Fraction(1), "late"),),),)
    with pytest.raises(ValueError, match="words at beats 1/7"):
        write_chart(replace_words(chart, odd))


@pytest.mark.parametrize(
    ("words", "meter", "near"), [(3, "4/4", 4), (5, "4/4", 8), (9, "4/4", 12), (4, "3/4", 6)]
)
def test_the_next_number_that_shares_the_bar_is_the_hint(words: int, meter: str, near: int) -> None:
    with pytest.raises(ChartError) as caught:
        sung("la " * words, meter=meter)
    (problem,) = caught.value.problems
    assert problem.hint.startswith(f"here {near} would")


@pytest.mark.parametrize("number", [0, MAX_VERSES + 1])
def test_verses_are_numbered_from_one(number: int) -> None:
    with pytest.raises(ChartError, match=f"numbered 1 to {MAX_VERSES}, got {number}"):
        parse_chart(f"[A]\nplain | F |\nwords {number} | la |\n")


def replace_words(chart: Chart, words: object) -> Chart:
    from dataclasses import replace
    from typing import Any

    changed: Any = words
    return replace(chart, sections=(replace(chart.sections[0], words=changed),))
