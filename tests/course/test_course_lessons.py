"""Three lessons on one tune: what was taught keeps its grips."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.unroll import unroll
from porchswing.course.course_file import parse_course
from porchswing.course.course_lessons import lesson_chart, only_sections
from porchswing.course.course_plan import make_plan
from porchswing.course.tune_job import met_in
from porchswing.errors import CourseError, OptionError
from porchswing.grips.shapes.model import shape_of
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


def test_a_last_time_that_leads_to_the_ending_is_not_played_without_it() -> None:
    chart = parse_chart(TUNE.replace("[Tag]", "[A-last]\n| F Dm | Gm C7 | F F7 |\n[Tag]"))
    chart = replace(chart, form=("A", "A", "B", "A-last"))  # as a made lane says it
    home = only_sections(chart, ("A", "B"))
    assert [section.name for section in home.sections] == ["A", "B"]
    assert home.ending is None
    assert home.form == ("A", "A", "B", "A")
    for played in (("A", "B", "Tag"), ("A", "B", "A-last")):
        names = {section.name for section in only_sections(chart, played).sections}
        assert "A-last" in names


def test_an_ending_that_is_not_played_stays_out_of_a_form_in_file_order() -> None:
    chart = parse_chart(TUNE.replace("form: A A B A\n", ""))
    played = unroll(only_sections(chart, ("A", "B")), lane="plain").bars
    assert list(dict.fromkeys(bar.section for bar in played)) == ["A", "B"]


def test_a_lesson_ends_on_its_section_where_the_lane_was_given_a_last_time() -> None:
    tune = (
        "key: C\nform: A A B A\nending: Tag\n[A]\n| C | A7 | Dm G7 | C |\n"
        "[B]\n| F | Fm | C | G7 |\n[Tag]\n| F C | G7 C |\n"
    )
    lessons = [one.lesson for one in parse_course(COURSE, "course.toml").lessons]
    charts = [lesson_chart(parse_chart(tune), Choices(), one) for one in lessons if one]
    last = [[bar.section for bar in unroll(chart, lane="swing").bars][-1] for chart in charts]
    assert last == ["A", "A", "Tag"]
    assert "A-last" in {section.name for section in charts[2].sections}
    assert write_chart(charts[1]).count("A-last") == 0


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


TWO_TUNES = """[defaults]
formats = ["mid"]
pages = true
[[lesson]]
chart = "moss.changes"
teaches = ["A"]
[[lesson]]
title = "Two bridges"
[lesson.teaches]
"moss.changes" = ["B"]
"gate.changes" = ["A"]
[lesson.reviews]
"moss.changes" = ["A"]
[[lesson]]
title = "Both"
[lesson.plays]
"gate.changes" = ["A"]
"moss.changes" = ["A", "B"]
"""


def test_a_lesson_of_several_tunes(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "moss.changes").write_text(TUNE, encoding="utf-8")
    (tmp_path / "gate.changes").write_text("title: Gate\nkey: C\n[A]\n| C | G7 |\n", "utf-8")
    course = parse_course(TWO_TUNES, str(tmp_path / "course.toml"))
    found = [
        (tune.charts[0][:4], lesson.number, lesson.teaches, lesson.reviews, lesson.plays)
        for tune in course.lessons
        if (lesson := tune.lesson)
    ]
    assert found == [
        ("moss", 1, ("A",), (), ("A",)),
        ("moss", 2, ("B",), ("A",), ("A", "B")),
        ("gate", 2, ("A",), (), ("A",)),
        ("gate", 3, (), (), ("A",)),
        ("moss", 3, (), (), ("A", "B")),
    ]
    plan = make_plan(course)
    assert not plan.failures
    assert [name for name in plan.names if name.endswith(".mid")] == [
        "lesson_1_Lesson_1/moss/moss-full.mid",
        "lesson_2_Two_bridges/moss/moss-full.mid",
        "lesson_2_Two_bridges/gate/gate-full.mid",
        "lesson_3_Both/gate/gate-full.mid",
        "lesson_3_Both/moss/moss-full.mid",
    ]
    pages = [job for job in plan.jobs if job.wanted[0].name.endswith(".html")]
    assert [len(job.before) for job in pages] == [0, 1, 2, 3, 4]
    taught = met_in(pages[1].before)
    home = choose_grips(
        Lead(lesson_chart(parse_chart(TUNE), Choices(), course.lessons[0].lesson)), Choices()
    )
    assert taught.shapes == {shape_of(slot.grip) for slot in home.slots if slot.grip}


@pytest.mark.parametrize(
    ("lesson", "message"),
    [
        ('chart = "a"\nteaches = ["A"]\nreviews = ["B"]', "must have been taught before"),
        ('chart = "a"\nteaches = ["A"]\nplays = ["B"]', "must be taught here or before"),
        ('chart = "a"', "must name the sections"),
        ('teaches = ["A"]', "chart is missing"),
        (
            '[lesson.teaches]\n"a" = ["A"]\n[lesson.plays]\n"b" = ["A"]',
            r"plays\.b\[0\] must be taught",
        ),
        ('[lesson.teaches]\n"a" = []', r"teaches\.a must be a list of 1"),
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
