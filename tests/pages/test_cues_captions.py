"""Captions of a lesson: sentences for grips and the words that are sung, where they sound."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.lesson.pack import lesson_jobs
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.cues import marks_text, sentence_marks, word_marks
from porchswing.take import lead_and_grips, road_of, take_from_chart

SONG = """title: Rain
key: F
tempo: 97
form: A A
[A]
swing | F6@5555{slide,roll} | N.C. | Gm7 | F6@5555 |
plain | F | N.C. | Gm | F |
words | Rain on the | *  | porch to- | night |
words 2 | Sun on the | * | steps to- | day |
"""


def test_every_grip_is_a_sentence_where_its_chord_stands() -> None:
    chart, choices = parse_chart(SONG.replace("on the", "on the _")), Choices()
    take = take_from_chart(chart, choices)
    marks = sentence_marks(take.performance, lead_and_grips(chart, choices)[1])
    assert marks[0].text == ("F6, first finger across all strings at the fifth fret; slide, roll.")
    assert marks[1].text.startswith("Gm7, ")
    assert "finger" in marks[1].text
    grips = [mark.seconds for mark in take.performance.marks if mark.kind == "grip"]
    assert [mark.seconds for mark in marks] == grips


@pytest.mark.parametrize("count_in", [0, 2])
def test_words_stand_at_their_bars_verse_by_verse(
    count_in: int, need_module: Callable[[str], None]
) -> None:
    """webvtt-py reads them; each bar begins where the performance has its chord."""
    need_module("webvtt")
    import webvtt

    chart = parse_chart(SONG.replace("on the", "on the _"))
    choices = Choices().with_values({"count_in_bars": count_in, "ritardando": 0.2})
    take = take_from_chart(chart, choices)
    marks = word_marks(take.performance, take.score.tempo_map, road_of(chart, choices))
    chords = {
        mark.text: mark.seconds for mark in reversed(take.performance.marks) if mark.kind == "chord"
    }
    assert marks[2].seconds == pytest.approx(chords["Gm7"], abs=0.002)
    read = webvtt.from_string(marks_text(take.performance, marks)).captions
    assert [caption.text for caption in read] == [
        "Rain on the", "-", "porch to-", "night", "Sun on the", "-", "steps to-", "day",
    ]  # fmt: skip


def test_only_a_song_has_cues_of_words() -> None:
    def names(text: str) -> list[str]:
        source = LessonSource(text, "rain.changes", "rain", Choices(), ("wav",), ("a4",))
        return [job.argument for job in lesson_jobs(source) if job.kind == "cues"]

    plain = "[A]\n| C Am | Dm G7 |\n"
    assert names(plain) == ["section", "chord", "grip", "sentence"]
    assert names(f"{plain}words | one two | three _ |\n")[-1] == "words"
