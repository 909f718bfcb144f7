"""Problems of a text: where they are shown, in what order, how many, and what is meant."""

from __future__ import annotations

import pytest

from porchswing.chart.language.problems import Problems, TextError, nearest, shortened
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import SourcePlace
from porchswing.errors import ChartError, Problem


def shown(text: str, column: int, width: int = 1) -> tuple[str, int]:
    """Return the part of a line that an error shows, and the width of its caret in characters."""
    problems = Problems("a", [text])
    problems.at(SourcePlace(1, column, width), "wrong")
    (found,) = problems.found
    return found.text, found.width


@pytest.mark.parametrize(
    ("length", "column", "width", "characters"),
    [
        (120, 1, 1, 120),
        (121, 1, 1, 120),
        (300, 120, 1, 120),
        (300, 121, 1, 121),  # as far as what is wrong
        (300, 150, 10, 159),
        (300, 240, 1, 240),
        (300, 241, 1, 0),  # too far to be shown at all
    ],
)
def test_a_long_line_is_cut_after_what_is_wrong(
    length: int, column: int, width: int, characters: int
) -> None:
    assert shown("x" * length, column, width) == ("x" * characters, width)


def test_a_caret_ends_with_its_line_and_tabs_are_one_blank() -> None:
    assert shown("a\tb", 3, 9) == ("a b", 1)
    assert shown("abc", 2, 9) == ("abc", 2)
    assert shown("abc", 9, 9) == ("abc", 1)
    assert shown("x" * 300, 1, 300)[1] == 120


def test_a_line_that_is_not_there_is_empty() -> None:
    problems = Problems("a", ["text"])
    problems.at(SourcePlace(0, 1), "wrong")
    problems.at(SourcePlace(2, 1), "wrong")
    assert [each.text for each in problems.found] == ["", ""]


def test_problems_come_in_the_order_of_the_text_and_the_rest_are_counted() -> None:
    problems = Problems("a", ["one", "two"])
    problems.raise_any()  # none yet
    problems.trouble(2, 2, TextError("later", "so", 1, 2))
    problems.at(SourcePlace(1, 3), "first")
    for _ in range(98):
        problems.at(SourcePlace(2, 1), "between")
    with pytest.raises(ChartError) as full:
        problems.raise_any()
    assert len(full.value.problems) == 100
    problems.at(SourcePlace(1, 1), "too many")
    problems.at(SourcePlace(1, 1), "too many")
    with pytest.raises(ChartError) as found:
        problems.raise_any()
    first, *_, last, more = found.value.problems
    assert (first.message, first.line, first.column) == ("first", 1, 3)
    assert last == Problem("a", 2, 3, "later", "so", "two", 1)
    assert more.message == "and 2 more problems; mend these first"
    assert (more.line, more.column) == (2, 3)


def test_long_words_are_cut_in_messages() -> None:
    assert shortened("x" * 40) == repr("x" * 40)
    assert shortened("x" * 41) == repr("x" * 39 + "…")
    assert shortened("abcd", 3) == "'ab…'"


@pytest.mark.parametrize(
    ("word", "known", "words"),
    [
        ("strun", ["zither", "Strum", "drum"], "did you mean Strum?"),
        ("STRUM", ["zither", "strum"], "did you mean strum?"),
        ("qqq", ["b", "a", "b"], "known: b a"),
        ("qqq", [str(n) for n in range(30)], "known: " + " ".join(map(str, range(20)))),
        ("qqq", [], ""),
    ],
)
def test_what_was_meant_or_what_there_is(word: str, known: list[str], words: str) -> None:
    assert nearest(word, known) == words


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        ("[A]\n| F :|x99 C |", ":|x99"),
        ("[A]\n| F Gmn7 |", "n7"),
        ("[A]\n| F{slyde} C |", "slyde"),
        ("[A]\n| F C@5-6-7-99 |", "99"),
        ("[A]\n| F C@55 |", "55"),
        ("[A]\n| C@5q55 |", "q"),
        ("[A]\n| C@xxxx |", "xxxx"),
        ("[A]\n| F C6@5555:19 |", "19"),
        ("[A]\n| F Dm7 G |", "F Dm7 G"),
        ("[A]\nplain | F |\nmelody | C4:2 H4:2 |", "H4"),
        ("[A]\nplain | F |\nmelody | A4:q C4:2 |", "q"),
        ("[A]\nplain | F |\nmelody | A4: C4:2 |", " "),
        ("[A]\nplain | F |\nmelody | C4:1 D4:1 |", "C4:1 D4:1"),
        ("[A]\nplain | F |\nmelody | C4:4 | C4:1 D4:3 |", "C4:1 D4:3"),
        ("[A]\n| C) F |", ")"),
        ("[A]\nplain | F |\nwords | a~b~c d e f g |", "a~b~c d e f g"),
        ("form: A Z\n[A]\n| F |", "Z"),
        ("form: A x99\n[A]\n| F |", "x99"),
        ("tempo: fast\n[A]\n| F |", "fast"),
        ("titel: x\n[A]\n| F |", "titel"),
    ],
)
def test_the_carets_stand_under_what_is_wrong(text: str, marked: str) -> None:
    with pytest.raises(ChartError) as found:
        parse_chart(text)
    (problem,) = found.value.problems
    line = text.splitlines()[problem.line - 1]
    assert line[problem.column - 1 :][: problem.width] == marked
