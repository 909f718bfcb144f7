"""A section that comes again is sung to its next verse."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.unroll import unroll


def sung(text: str, choruses: int = 1) -> list[str]:
    """Return the words of every played bar, the verses that stand there divided by a slash."""
    road = unroll(parse_chart(text), choruses=choruses)
    return [
        " / ".join(" ".join(each.text for each in verse) for verse in bar.words)
        for bar in road.bars
    ]


THREE = "words | one |\nwords 2 | two |\nwords 3 | three |\n"


def test_each_time_of_the_form_has_its_verse() -> None:
    text = f"form: A A B A\n[A]\n| F |\n{THREE}[B]\n| C |\nwords | bridge |\n"
    assert sung(text) == ["one", "two", "bridge", "three"]
    assert sung(text, 2)[4:] == ["one", "two", "bridge", "three"]


def test_verses_begin_again_after_the_last() -> None:
    assert sung("form: A x3\n[A]\n| F |\nwords | one |\nwords 2 | two |\n") == ["one", "two", "one"]


def test_a_section_with_more_verses_than_times_shows_them_all() -> None:
    assert sung(f"form: A A\n[A]\n| F |\n{THREE}") == ["one / two / three"] * 2


def test_repeats_and_endings_go_on_to_the_next_verse() -> None:
    text = "[A]\n|: F |1 C7 :|2 F | C |\nwords | a | b | * | * |\nwords 2 | c | * | d | e |\n"
    assert sung(text) == ["a", "b", "c", "d", "e"]
    one_line = "[A]\n|: F |1 C7 :|2 F | C |\nwords | a | b | d | e |\nwords 2 | c | * | * | * |\n"
    assert sung(one_line) == ["a", "b", "c", "d", "e"]
    two = "[A]\n|: F :| |: C7 :|\nwords | a | b |\nwords 2 | c | d |\n"
    assert sung(two) == ["a", "c", "b", "d"]


@pytest.mark.parametrize("before", [0, 1, 300])
def test_after_a_repeat_the_verse_is_the_first_again(before: int) -> None:
    bars, rests = "| F " * before, "| * " * before
    text = (
        f"[A]\n{bars}|: F | C7 :| Bb |\nwords {rests}| a | b | c |\nwords 2 {rests}| d | e | f |\n"
    )
    assert sung(text)[before:] == ["a", "b", "d", "e", "c"]


def test_a_refrain_is_written_once() -> None:
    text = "form: A A\n[A]\n| F | C |\nwords | one | home |\nwords 2 | two | |\n"
    assert sung(text) == ["one", "home", "two", "home"]


def test_a_last_time_is_sung_to_the_verse_after_its_section() -> None:
    text = f"form: A A A-last\n[A]\n| F |\n{THREE}[A-last]\n| F |\n{THREE}"
    assert sung(text) == ["one", "two", "three"]


def test_without_words_nothing_is_sung() -> None:
    assert sung("[A]\n| F | C |\n[B]\n| F |\nwords | la |\n") == ["", "", "la"]
