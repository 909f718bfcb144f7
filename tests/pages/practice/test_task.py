"""A task in a teacher's words: what is read, and what is said of the rest."""

from __future__ import annotations

import pytest

from porchswing.errors import OptionError
from porchswing.pages.practice.task import Task, parse_task


@pytest.mark.parametrize(
    ("text", "task"),
    [
        ("bars 21-28 at 70 %, chords mine", Task((21, 28), 70, "mine")),
        ("bar 5 to 8, 60%, answer", Task((5, 8), 60, None, "answer")),
        ("fade", Task(mode="fade")),
    ],
)
def test_a_task_is_read_as_it_is_typed(text: str, task: Task) -> None:
    assert parse_task(text) == task


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("B at 70 %", "unknown task 'b'; known are along, answer, fade; it looks like 'bars 21-28"),
        ("B at 70 %", "sections are named by their bars"),
        ("bars 1-4, anwser", "unknown task 'anwser'; did you mean 'answer'?"),
        ("chords hers", "unknown chords 'hers'"),
    ],
)
def test_what_is_no_task_is_answered_with_one(text: str, said: str) -> None:
    with pytest.raises(OptionError) as caught:
        parse_task(text)
    assert said in str(caught.value)
