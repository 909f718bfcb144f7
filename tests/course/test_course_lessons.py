"""Three lessons on one tune: what was taught keeps its grips."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.course.course_lessons import lesson_chart, only_sections
from porchswing.course.course_plan import make_plan
from porchswing.course.course_reader import parse_course
from porchswing.errors import CourseError, OptionError
from porchswing.harmony.choice.lead import Lead
from porchswing.lesson.handout import HandoutSource, handout_sheet
from porchswing.lesson.learned import Met
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.outputs.folder import OutputFolder
from porchswing.take import choose_grips, take_from_chart

TUNE = """title: Moss on the Step
key: F
form: A A B A
ending: Tag
[A]
| F Dm | Gm C7 | F F7 | Bb Bbm |
| F D7 | Gm C7 | F Dm | Gm C7 |
[B]
line: 4 down
| A7 | % | D7 | % | G7 | % | C7 | % |
[Tag]
| F F7 | Bb Bdim7 | F C7 | F |
"""
COURSE = """title = "Moss"
[defaults]
formats = ["mid"]
[[lesson]]
title = "Home"
chart = "moss.changes"
teaches = ["A"]
[[lesson]]
title = "Away"
chart = "moss.changes"
teaches = ["B"]
reviews = ["A"]
plays = ["A", "B"]
[[lesson]]
title = "All of it"
chart = "moss.changes"
teaches = ["Tag"]
reviews = ["A", "B"]
plays = ["A", "B", "Tag"]
"""


def grips(lesson: int, section: str) -> list[tuple[object, ...]]:
    tune = parse_course(COURSE, "course.toml").lessons[lesson]
    assert tune.lesson is not None
    chart = lesson_chart(parse_chart(TUNE), Choices(), tune.lesson)
    voicing = choose_grips(Lead(chart), Choices())
    return [
        (s.bar, s.chord and s.chord.symbol, str(s.grip), s.fingers)
        for s in voicing.slots
        if s.section == section
    ]


def test_what_was_taught_keeps_its_grips_and_fingers() -> None:
    home = grips(0, "A")
    assert len(home) > 8
    assert grips(1, "A") == grips(2, "A") == home
    assert grips(1, "B") == grips(2, "B") != []
    freely = choose_grips(Lead(parse_chart(TUNE)), Choices(depth=2))
    assert {s.section for s in freely.slots} >= {"A", "B", "Tag"}


def test_a_last_time_has_the_grips_of_the_other_times_where_its_bars_are_the_same() -> None:
    chart = parse_chart(TUNE.replace("Tag", "C").replace("ending: C", ""))
    lesson = parse_course(COURSE.replace("Tag", "C"), "c.toml").lessons[2].lesson
    assert lesson is not None
    voicing = choose_grips(Lead(lesson_chart(chart, Choices(), lesson)), Choices())
    by_place = {(s.section, s.bar, s.slot): s for s in voicing.slots}
    for (section, bar, slot), last in by_place.items():
        base = by_place.get((section.removesuffix("-last"), bar, slot))
        if section.endswith("-last") and base and base.chord == last.chord and bar < 5:
            assert last.grip == base.grip


def test_the_whole_tune_plays_its_form() -> None:
    chart = parse_chart(TUNE)
    assert only_sections(chart, ("A", "B", "Tag")).form == ("A", "A", "B", "A")
    assert only_sections(chart, ("A", "B", "Tag")).ending == "Tag"
    assert only_sections(chart, ("B",)).form == ("B",)
    assert only_sections(chart, ("B",)).ending is None


def test_a_course_of_lessons_is_built(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "moss.changes").write_text(TUNE, encoding="utf-8")
    plan = make_plan(parse_course(COURSE, str(tmp_path / "course.toml")))
    assert not plan.failures
    assert [job.outputs[0].partition("/")[0] for job in plan.jobs] == [
        "lesson_1_Home", "lesson_2_Away", "lesson_3_All_of_it",
    ]  # fmt: skip
    for job in plan.jobs:
        part = tmp_path / "made.mid"
        job.run([part])
        assert part.read_bytes().startswith(b"MThd")
    assert OutputFolder(tmp_path)


def test_a_handout_says_what_a_lesson_before_taught() -> None:
    course = parse_course(COURSE.replace('["mid"]', '["mid"]\npages = true'), "course.toml")
    lesson = course.lessons[2].lesson
    assert lesson is not None
    chart = lesson_chart(parse_chart(TUNE), Choices(), lesson)
    source = LessonSource(
        write_chart(chart), "moss.changes", "", Choices(), met=Met(sections=frozenset("AB"))
    )
    sheet = handout_sheet(
        HandoutSource(source.lead, source.voicing, (), 120.0, 2.0, "four", {}, met=source.met)
    )
    words = {section.name: section.note for section in sheet.sections}
    assert "from a lesson before" in words["[A]"]
    assert "from a lesson before" in words["[B]"]
    assert "from a lesson before" not in words["[Tag]"]


def test_cues_name_the_marks() -> None:
    take = take_from_chart(parse_chart("[A]\n| F6@5555{slide,roll} | F6@5555 |\n"), Choices())
    texts = [mark.text for mark in take.performance.marks if mark.kind == "grip"]
    assert texts == ["F6 5555 (slide, roll)", "F6 5555"]


@pytest.mark.parametrize(
    ("lesson", "message"),
    [
        ('chart = "a"\nteaches = ["A"]\nreviews = ["B"]', "must have been taught before"),
        ('chart = "a"\nteaches = ["A"]\nplays = ["B"]', "must be taught here or before"),
        ('chart = "a"', "must name the sections"),
        ('teaches = ["A"]', "chart is missing"),
    ],
)
def test_what_a_lesson_must_say(lesson: str, message: str) -> None:
    with pytest.raises(CourseError, match=message):
        parse_course(f"[[lesson]]\n{lesson}\n")


def test_a_section_that_is_not_there() -> None:
    tune = parse_course('[[lesson]]\nchart = "a"\nteaches = ["Z"]\n').lessons[0]
    assert tune.lesson is not None
    with pytest.raises(OptionError, match="unknown section 'Z'"):
        lesson_chart(parse_chart(TUNE), Choices(), tune.lesson)
