"""What `check` calls wrong because nobody could play it."""

from __future__ import annotations

from hypothesis import given, settings

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import GripError
from porchswing.grips.names.mistakes import mistakes
from porchswing.grips.search.voice import voice
from porchswing.harmony.choice.reharmonize import reharmonize
from support.strategies import charts


def told(text):
    return [(p.line, p.column, p.message, p.hint) for p in mistakes(parse_chart(text, "x"))]


def test_a_good_chart_has_none():
    assert told("[A]\n| E7@7877 | A9@6777 | D7 | G9 | N.C. |") == []


def test_an_unknown_tuning_at_its_own_line():
    ((line, column, message, hint),) = told("title: T\ntuning: lute\n[A]\n| E7 |")
    assert (line, column) == (2, 9)
    assert message == "unknown tuning 'lute'"
    assert hint.endswith("Or give its notes with octaves: 'g4 c4 e4 a4'")


def test_a_lock_with_the_wrong_number_of_frets():
    ((line, column, message, _),) = told("[A]\n| C6 | C@777 |")
    assert (line, column, message) == (2, 8, "3 frets are locked, gCEA has 4 strings")


def test_a_line_on_a_string_that_is_not_there():
    rows = told("tuning: gCEA\nline: 5\n[A]\n| C6 | F6 |\n[B]\n# up\nline: 6 down\n| C6 |")
    assert [(line, column) for line, column, _, _ in rows] == [(2, 7), (7, 7)]


def test_every_bar_without_a_grip():
    rows = told("[A]\nfrets: 1-2\n| F6 | Am7 |\n| E7 | C6 |")
    assert all("no closed grip for" in message for _, _, message, _ in rows)
    assert all(hint.startswith("try frets") for _, _, _, hint in rows)
    assert {line for line, _, _, _ in rows} <= {3, 4}
    assert len(rows) > 1


@settings(deadline=None, max_examples=25)
@given(charts())
def test_no_mistakes_is_a_promise(chart):
    if mistakes(chart):
        return
    for lead, lane in ((chart, "plain"), (reharmonize(chart), "swing")):
        try:
            voice(lead, lane=lane)
        except GripError as error:
            raise AssertionError(f"{lane}: {error}") from error
