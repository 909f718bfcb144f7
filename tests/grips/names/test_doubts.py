"""What `check` says about the grips of a chart."""

from __future__ import annotations

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.names.doubts import doubts


def told(text, tuning=None):
    return [(p.line, p.column, p.message, p.hint) for p in doubts(parse_chart(text, "x"), tuning)]


def test_a_good_chart_leaves_no_doubt():
    assert told("[A]\n| E7@7877 | A9@6777 | D7@5655 | G9@4555 | N.C. |") == []


def test_a_lock_that_sounds_another_chord():
    ((line, column, message, hint),) = told("[A]\n| C6 | D7@6555 |")
    assert (line, column) == (2, 8)
    assert message == "6555 does not sound D7: it sounds DmMaj7"
    assert hint == "for D7 you may mean 5655"


def test_what_follows_names_the_lock():
    ((_, _, message, _),) = told("[A]\n| E7@6777 | D6 |")
    assert "it sounds A9 (no root)" in message


def test_locks_are_not_looked_at_on_strings_of_other_notes():
    assert told("[A]\n| E7@7877 |", "guitar") == []


def test_a_lock_that_takes_too_many_fingers():
    messages = [message for _, _, message, _ in told("tuning: guitar\n[A]\n| E7@456786 |")]
    assert any("more than four fingers" in message for message in messages)


def test_both_lanes_are_looked_at_and_repeats_once():
    rows = told("[A]\nplain | D7@6555 | % |\nswing | D9@6555 | % |")
    assert [row[0] for row in rows] == [2, 3]
