"""What a lesson is about is large, looped at first and drilled; the rest is known and small."""

from __future__ import annotations

import re

import pytest

from porchswing.chart.language.writer import write_chart
from porchswing.lesson.comparison import compare_swap
from porchswing.lesson.handout import HandoutSource, handout_sheet
from porchswing.lesson.learned import Met
from porchswing.lesson.lesson_job import make_handout, make_practice_page, ways_of
from porchswing.lesson.practice_plan import practice_plan
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.handout.sheet import SheetBar
from porchswing.pages.practice.task import Task, parse_task
from support.practice_lanes import silent_pages

TUNE = """title: Moss on the Step
key: F
form: A A B A
ending: Tag
[A]
| F Dm | Gm C7 | F F7 | Bb Bbm |
[B]
| A7 | D7 | G7 | C7 |
[Tag]
| F F7 | Bb Bdim7 |
"""


def source(known: str = "", task: Task | None = None, **choices: object) -> LessonSource:
    met = Met(sections=frozenset(known.split()))
    return LessonSource(TUNE, "moss.changes", "moss", Choices(**choices), met=met, task=task)


@pytest.mark.parametrize(
    ("made", "known"),
    [
        (source(), set()),
        (source(section="B"), {"A", "A-last", "Tag"}),
        (source(section="Tag"), {"A", "A-last", "B"}),
        (source("A"), {"A", "A-last"}),
        (source("A B"), {"A", "A-last", "B"}),
        (source("A B Tag"), set()),  # nothing new: everything is what the lesson is about
        (source(bars=(1, 4)), set()),
    ],
)
def test_what_a_lesson_is_not_about(made: LessonSource, known: set[str]) -> None:
    assert made.known_sections <= known
    assert made.known_sections | {"A-last"} == known | {"A-last"}


@pytest.mark.parametrize(
    ("made", "task"),
    [
        (source(), None),
        (source(section="A"), Task((1, 4))),
        (source(section="B"), Task((9, 12))),
        (source(section="B", bars=(2, 3)), Task((10, 11))),
        (source(section="B", task=parse_task("bars 1-2")), Task((1, 2))),
        (source("A"), Task((9, 12))),  # the bridge is new, then A comes again
        (source("A B Tag"), None),
    ],
)
def test_the_page_opens_on_what_the_lesson_is_about(made: LessonSource, task: Task | None) -> None:
    assert made.page_task == task


def test_an_ending_has_its_place_on_the_page_of_the_tune() -> None:
    task = source(section="Tag").page_task
    assert task is not None
    assert task.bars is not None
    assert task.bars[1] - task.bars[0] == 1
    assert task.bars[0] >= 17


def test_the_page_shows_the_section_in_its_tune(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "page.html"
    with silent_pages():
        make_practice_page(source(section="B"), "", [path], source().take.tags)
    page = path.read_text("utf-8")
    rows = re.findall(r'<div class="boardrow([^"]*)">(?:<h3[^>]*>([^<]*))?', page)
    heads = [(looks.split(), name) for looks, name in rows]
    assert [name for _, name in heads][:4] == [
        "A, you know it", "A, you know it", "B", "A, you know it",
    ]  # fmt: skip
    assert all(("known" in looks) == (name != "B") for looks, name in heads)
    assert 'Your task:</b> <span id="task-words">bars 9 to 12' in page


def test_the_handout_draws_what_the_lesson_is_about() -> None:
    made = source(section="B")
    sheet = handout_sheet(
        HandoutSource(
            made.lead, made.voicing, (), 120.0, 2.0, "four", {}, known=made.known_sections
        )
    )
    by_name = {section.name: section for section in sheet.sections}
    for name, section in by_name.items():
        chords = [c for row in section.rows for bar in row.bars for c in bar.swing]
        assert section.is_known == (name != "[B]")
        assert any(chord.svg for chord in chords) == (name == "[B]")
        assert any(chord.frets for chord in chords)
        assert ("you know it" in section.note) == (name != "[B]")
    in_b = {str(s.grip) for s in made.voicing.slots if s.section == "B"}
    assert len(sheet.shapes) <= len(in_b)
    assert all("[B]" in change.where for change in sheet.changes)


def test_every_new_section_has_its_ladder_and_what_is_known_is_reviewed() -> None:
    def drilled(made: LessonSource) -> tuple[set[str], list[str]]:
        ladders = {d.title.split(",")[0] for d in made.drills if d.kind == "ladder"}
        return ladders, [d.title for d in made.drills if d.kind == "review"]

    assert drilled(source()) == ({"Section A", "Section B", "Section Tag"}, [])
    assert drilled(source(section="B")) == ({"Section B"}, [])
    ladders, reviews = drilled(source("A"))
    assert ladders == {"Section B", "Section Tag"}
    assert 1 <= len(reviews) <= 2
    assert all(re.fullmatch(r"Review: .* \(section A, bar \d\)", title) for title in reviews)
    plan = practice_plan(source("A").drills)
    words = [step.words for step in plan]
    assert words[1].startswith("Review: ")
    assert sum("rounds, each a little faster" in each for each in words) == 1
    assert re.search(r"Another day: .*Section (B|Tag), ", words[-1])
    hard = [d.title for d in source("A").drills if d.kind == "changes"]
    assert hard
    assert all("(section A," not in title for title in hard)


def test_a_room_of_mixed_levels_has_three_ways_through_the_same_bars(tmp_path) -> None:  # type: ignore[no-untyped-def]
    made = source(together=True)
    ways = ways_of(made)
    assert list(ways) == ["three strings", "open grips", "closed grips"]
    sheet = handout_sheet(
        HandoutSource(made.lead, made.voicing, (), 120.0, 2.0, "four", {}, ways=ways)
    )
    assert sheet.ways == tuple(ways)
    bars = [bar for section in sheet.sections for row in section.rows for bar in row.bars]
    assert all(len(bar.ways) == 3 for bar in bars)
    plain = [[chord.symbol for chord in bar.ways[1]] for bar in bars]
    assert [[chord.symbol for chord in bar.ways[0]] for bar in bars] == plain
    assert [[chord.symbol for chord in bar.ways[2]] for bar in bars] == [
        [chord.symbol for chord in bar.swing] for bar in bars
    ]
    assert "0" in "".join(chord.frets for bar in bars for chord in bar.ways[1])
    assert "0" not in "".join(chord.frets for bar in bars for chord in bar.ways[2]).replace(
        "10", ""
    )
    assert all(len(bar.ways) == 0 for bar in bars_of(source()))
    pdf = tmp_path / "a4.pdf"
    make_handout(made, "a4", [pdf], made.take.tags)
    assert pdf.read_bytes().startswith(b"%PDF")


def bars_of(made: LessonSource) -> list[SheetBar]:
    assert ways_of(made) == {}
    sheet = handout_sheet(HandoutSource(made.lead, made.voicing, (), 120.0, 2.0, "four", {}))
    return [bar for section in sheet.sections for row in section.rows for bar in row.bars]


def test_a_last_time_that_the_lane_was_given_is_known_where_the_lesson_is_about_another() -> None:
    text = "key: C\nform: A B A\nending: Tag\n[A]\n| C | A7 | Dm G7 | C |\n[B]\n| F | C |\n"
    made = LessonSource(text + "[Tag]\n| F C | G7 C |\n", "l.changes", "l", Choices(section="B"))
    names = {section.name for section in made.lead.chart.sections}
    assert names == {"A", "A-last", "B", "Tag"}
    assert made.known_sections == names - {"B"}


def test_three_ways_through_a_last_time_that_the_lane_was_given() -> None:
    text = "key: C\nform: A A\nending: Tag\n[A]\n| C | A7 | Dm G7 | C |\n[Tag]\n| F C | G7 C |\n"
    made = LessonSource(text, "lamp.changes", "lamp", Choices(together=True))
    assert "A-last" in {section.name for section in made.lead.chart.sections}
    sheet = handout_sheet(
        HandoutSource(made.lead, made.voicing, (), 120.0, 2.0, "four", {}, ways=ways_of(made))
    )
    last = sheet.sections[1]
    assert last.name == "[A, the last time]"
    assert all(len(bar.ways) == 3 for row in last.rows for bar in row.bars)


@pytest.mark.parametrize("key", [None, "Eb"])
def test_swaps_of_a_last_time_are_heard_by_themselves_before_and_after_writing(
    key: str | None,
) -> None:
    text = "key: C\nform: A A\nending: Tag\n[A]\n| C | A7 | Dm G7 | C |\n[Tag]\n| F C | G7 C |\n"
    made = LessonSource(text, "l.changes", "l", Choices(key=key))
    alone = [(swap.name, swap.section, swap.bar) for swap in made.lone_swaps]
    assert "A-last" in {section for _, section, _ in alone}
    written = LessonSource(write_chart(made.lead.chart), "l.changes", "l", Choices(key=key))
    assert [(swap.name, swap.section, swap.bar) for swap in written.lone_swaps] == alone
    pairs = [
        compare_swap(one.lead.chart, one.choices, swap)
        for one in (made, written)
        for swap in one.lone_swaps
    ]
    heard = [
        [[mark.text for mark in piece.performance.marks] for piece in pair.pieces] for pair in pairs
    ]
    assert heard[: len(alone)] == heard[len(alone) :]
