"""What `check` says about the grips of a chart: what is doubtful, and what nobody could play."""

from __future__ import annotations

from hypothesis import given, settings

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import GripError
from porchswing.grips.names.grip_problems import doubts, mistakes
from porchswing.grips.search.voice import voice
from porchswing.harmony.choice.reharmonize import reharmonize
from support.strategies import charts


def doubted(text, tuning=None):
    return [(p.line, p.column, p.message, p.hint) for p in doubts(parse_chart(text, "x"), tuning)]


def test_a_good_chart_leaves_no_doubt():
    assert doubted("[A]\n| E7@7877 | A9@6777 | D7@5655 | G9@4555 | N.C. |") == []


def test_a_lock_that_sounds_another_chord():
    ((line, column, message, hint),) = doubted("[A]\n| C6 | D7@6555 |")
    assert (line, column) == (2, 8)
    assert message == "6555 does not sound D7: it sounds DmMaj7"
    assert hint == "for D7 you may mean 5655"


def test_what_follows_names_the_lock():
    ((_, _, message, _),) = doubted("[A]\n| E7@6777 | D6 |")
    assert "it sounds A9 (no root)" in message


def test_locks_are_not_looked_at_on_strings_of_other_notes():
    assert doubted("[A]\n| E7@7877 |", "guitar") == []


def test_a_lock_that_takes_too_many_fingers():
    messages = [message for _, _, message, _ in doubted("tuning: guitar\n[A]\n| E7@456786 |")]
    assert any("more than four fingers" in message for message in messages)


def test_both_lanes_are_looked_at_and_repeats_once():
    rows = doubted("[A]\nplain | D7@6555 | % |\nswing | D9@6555 | % |")
    assert [row[0] for row in rows] == [2, 3]


def mistaken(text):
    return [(p.line, p.column, p.message, p.hint) for p in mistakes(parse_chart(text, "x"))]


def test_a_good_chart_has_no_mistake():
    assert mistaken("[A]\n| E7@7877 | A9@6777 | D7 | G9 | N.C. |") == []


def test_an_unknown_tuning_at_its_own_line():
    ((line, column, message, hint),) = mistaken("title: T\ntuning: lute\n[A]\n| E7 |")
    assert (line, column) == (2, 9)
    assert message == "unknown tuning 'lute'"
    assert hint.endswith("Or give its notes with octaves: 'g4 c4 e4 a4'")


def test_a_lock_with_the_wrong_number_of_frets():
    ((line, column, message, _),) = mistaken("[A]\n| C6 | C@777 |")
    assert (line, column, message) == (2, 8, "3 frets are locked, gCEA has 4 strings")


def test_a_line_on_a_string_that_is_not_there():
    rows = mistaken("tuning: gCEA\nline: 5\n[A]\n| C6 | F6 |\n[B]\n# up\nline: 6 down\n| C6 |")
    assert [(line, column) for line, column, _, _ in rows] == [(2, 7), (7, 7)]


def test_every_bar_without_a_grip():
    rows = mistaken("[A]\nfrets: 1-2\n| F6 | Am7 |\n| E7 | C6 |")
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
