"""The ledger of a course: what is new, what is known, what to review, and a better order."""

from __future__ import annotations

import json
import random
from itertools import permutations
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import read_chart
from porchswing.cli.main import group
from porchswing.course.course_file import read_course
from porchswing.course.ledger import MOST_EXACT, best_order, ledger, ledger_text, tunes_until
from porchswing.errors import CourseError
from porchswing.grips.shapes.model import Shape
from porchswing.lesson.handout import HandoutSource, handout_sheet
from porchswing.lesson.learned import NOTHING_MET, Met, knowing, met_in_all
from porchswing.options import Choices
from porchswing.take import lead_and_grips

TUNES = {
    "boats": (
        "title: Paper Boats\nkey: F\ntempo: 112\nstrum: charleston\nform: A B A\n"
        "[A]\n| F6 D7 | Gm7 C7 | F6 | Cm7 F7 |\n| Bb6 | Bbm6 | F6 C7 | F6 |\n"
        "[B]\n| Am7 D7 | Gm7 C7 | Gm7 | C7 |\n"
    ),
    "path": (
        "title: Gravel Path\nkey: C\ntempo: 100\nstrum: four\n"
        "[A]\n| C6 | A7 | Dm7 | G7 |\n| C6 | A7 | Dm7 G7 | C6 |\n"
    ),
    "lamp": (
        "title: Kitchen Lamp\nkey: G\ntempo: 90\nstrum: four\n"
        "[A]\n| G6 | Gdim7 | Am7 | D7 |\n| Bm7 | E7 | A7 D7 | G6 |\n"
    ),
}


@pytest.fixture
def course_path(tmp_path: Path) -> Path:
    rows = ['title = "First term"']
    for name, text in TUNES.items():
        (tmp_path / f"{name}.changes").write_text(text, encoding="utf-8")
        rows += ["[[tune]]", f'charts = ["{name}.changes"]']
    path = tmp_path / "course.toml"
    path.write_text("\n".join(rows), encoding="utf-8")
    return path


def test_new_is_what_no_tune_before_has(course_path: Path) -> None:
    found = ledger(read_course(course_path), course_path.parent)
    assert [lesson.content.title for lesson in found.lessons] == [
        "Paper Boats", "Gravel Path", "Kitchen Lamp"
    ]  # fmt: skip
    before = NOTHING_MET
    for lesson in found.lessons:
        own = lesson.content.met
        assert lesson.new.shapes == own.shapes - before.shapes
        assert lesson.new.swaps == own.swaps - before.swaps
        assert lesson.new.strums == own.strums - before.strums
        assert lesson.new.things + lesson.known.things == own.things
        before = before.with_(own)
    assert found.lessons[0].known.things == 0
    assert found.lessons[1].new.strums == {"four"}
    assert found.lessons[2].known.strums == {"four"}


def test_review_takes_what_was_played_longest_ago(course_path: Path) -> None:
    found = ledger(read_course(course_path), course_path.parent)
    assert found.lessons[0].review == ()
    assert {title for title, _ in found.lessons[1].review} == {"Paper Boats"}
    assert found.lessons[2].review
    assert found.lessons[1].review != found.lessons[2].review


def test_the_order_proposed_is_the_best_of_all(course_path: Path) -> None:
    found = ledger(read_course(course_path), course_path.parent)
    assert found.is_proven
    fullest = min(found.fullest(order) for order in permutations(range(3)))
    assert found.fullest(found.proposal) == fullest
    assert found.fullest(found.own_order) >= fullest


def some_shape(number: int) -> Shape:
    return Shape((number, 0, 0, 0), (1, 1, 1, 1), is_movable=True)


def test_orders_equal_every_order_tried() -> None:
    rng = random.Random("orders")
    for _ in range(30):
        mets = [
            Met(shapes=frozenset(some_shape(rng.randrange(9)) for _ in range(rng.randint(1, 6))))
            for _ in range(rng.randint(1, 5))
        ]

        def score(order: tuple[int, ...], mets: list[Met] = mets) -> tuple[int, int]:
            before, news = Met(), []
            for at in order:
                news.append(len(mets[at].shapes - before.shapes))
                before = before.with_(mets[at])
            return max(news), sum(new * new for new in news)

        best = min(score(order) for order in permutations(range(len(mets))))
        assert score(best_order(mets))[0] == best[0]


def test_many_tunes_get_a_good_order() -> None:
    mets = [Met(strums=frozenset({str(n)})) for n in range(MOST_EXACT + 1)]
    assert best_order(mets) == tuple(range(MOST_EXACT + 1))


def test_text_and_facts(course_path: Path) -> None:
    result = CliRunner().invoke(group, ["course", str(course_path)])
    assert result.exit_code == 0, result.output
    found = ledger(read_course(course_path), course_path.parent)
    assert result.output.strip() == ledger_text(found).strip()
    assert "2. Gravel Path:" in result.output
    assert "rule of thumb" in result.output.replace("\n", " ")
    facts = json.loads(CliRunner().invoke(group, ["course", str(course_path), "--json"]).stdout)
    assert len(facts["lessons"]) == 3
    assert sorted(facts["proposal"]) == ["boats.changes", "lamp.changes", "path.changes"]


def test_the_second_handout_says_what_is_known(course_path: Path) -> None:
    course, path = read_course(course_path), course_path.parent / "path.changes"
    met = met_in_all(tunes_until(course, course_path.parent, path))
    assert met.shapes
    choices = Choices(ease=knowing(None, met))
    lead, voicing = lead_and_grips(read_chart(path), choices)
    sheet = handout_sheet(HandoutSource(lead, voicing, (), 100, 2.0, "charleston", met=met))
    assert any(shape.is_known for shape in sheet.shapes)
    assert any(not shape.is_known for shape in sheet.shapes)
    assert "you know" in sheet.shapes_note
    assert "You know this strum." in sheet.strum.note
    named = [change.name for change in sheet.changes]
    assert any(name.endswith("(you know it)") for name in named)
    assert any(not name.endswith("(you know it)") for name in named)


def test_a_tune_that_the_course_has_not_is_refused(course_path: Path) -> None:
    course = read_course(course_path)
    with pytest.raises(CourseError, match=r"no tune 'other\.changes'"):
        tunes_until(course, course_path.parent, course_path.parent / "other.changes")


def test_lessons_of_a_series_keep_their_order_and_count_what_came_before(tmp_path: Path) -> None:
    (tmp_path / "boats.changes").write_text(TUNES["boats"], encoding="utf-8")
    rows = ['title = "Boats"']
    for title, words in (("Water", 'teaches = ["A"]'), ("Wind", 'teaches = ["B"]')):
        rows += ["[[lesson]]", 'chart = "boats.changes"', f'title = "{title}"', words]
    rows += ["[[lesson]]", 'chart = "boats.changes"', 'title = "All of it"', 'plays = ["A", "B"]']
    path = tmp_path / "series.toml"
    path.write_text("\n".join(rows), encoding="utf-8")
    found = ledger(read_course(path), tmp_path)
    assert [lesson.content.title for lesson in found.lessons] == [
        "Paper Boats: Water", "Paper Boats: Wind", "Paper Boats: All of it"
    ]  # fmt: skip
    assert found.proposal == found.own_order
    water, wind, everything = found.lessons
    assert water.new == water.content.met
    assert wind.known.shapes == wind.content.met.shapes & water.content.met.shapes
    # the whole tune has the grips that were taught
    assert everything.content.met.shapes <= water.content.met.shapes | wind.content.met.shapes
    (tmp_path / "boats.changes").unlink()
    with pytest.raises(CourseError, match=r"there is no chart 'boats\.changes'"):
        ledger(read_course(path), tmp_path)
