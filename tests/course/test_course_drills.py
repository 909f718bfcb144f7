"""Drill tracks of a course, and reviews of the tunes before: those that the ledger says are due."""

from __future__ import annotations

import re
from pathlib import Path

import mido
import pytest

from porchswing.course.course_file import parse_course, read_course
from porchswing.course.course_plan import make_plan
from porchswing.course.ledger import ledger, tunes_until
from porchswing.course.tune_job import TuneJob
from porchswing.errors import CourseError, OptionError
from porchswing.lesson.drill_kinds import DRILL_KINDS
from porchswing.lesson.learned import met_in_all
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices

BOATS = "title: Paper Boats\nkey: F\ntempo: 112\n[A]\n| F6 D7 | Gm7 C7 | Bb6 Bbm6 | F6 |\n"
PATH = "title: Gravel Path\nkey: C\ntempo: 100\n[A]\n| C6 | A7 | Dm7 G7 | C6 |\n[B]\n| F | C |\n"
COURSE = """[defaults]
formats = ["mid"]
drills = ["review", "changes"]
[[tune]]
charts = ["boats.changes"]
[[tune]]
charts = ["path.changes"]
keys = ["as written", "G"]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "boats.changes").write_text(BOATS, encoding="utf-8")
    (tmp_path / "path.changes").write_text(PATH, encoding="utf-8")
    (tmp_path / "course.toml").write_text(COURSE, encoding="utf-8")
    return tmp_path


def drill_jobs(folder: Path) -> dict[str, TuneJob]:
    plan = make_plan(read_course(folder / "course.toml"))
    assert not plan.failures
    return {job.outputs[0]: job for job in plan.jobs if job.drill}


def sections_in(job: TuneJob, folder: Path) -> list[str]:
    """Return the section markers of a job's MIDI file, read by mido."""
    path = folder / "made.mid"
    job.run([path])
    return [m.text for m in mido.MidiFile(path).tracks[0] if m.type == "marker"]


def test_every_key_has_a_track_of_each_kind_and_the_first_tune_no_review(folder: Path) -> None:
    assert list(drill_jobs(folder)) == [
        "boats/boats-drill_changes.mid",
        "path/path-drill_review.mid",
        "path/path-drill_changes.mid",
        "path/path-G-drill_review.mid",
        "path/path-G-drill_changes.mid",
    ]


def test_a_review_is_what_the_ledger_says_is_due(folder: Path) -> None:
    due = ledger(read_course(folder / "course.toml"), folder).lessons[1].review
    assert len(due) == 2
    markers = sections_in(drill_jobs(folder)["path/path-drill_review.mid"], folder)
    for title, move in due:
        assert title == "Paper Boats"
        before, after = move.before, move.after
        words = f"Review of Paper Boats: {before.chord} {before.grip} to {after.chord} {after.grip}"
        assert any(marker.startswith(words) for marker in markers)


def test_a_lesson_with_a_course_begins_with_the_same_review(folder: Path) -> None:
    course = read_course(folder / "course.toml")
    earlier = tunes_until(course, folder, folder / "path.changes")
    met = met_in_all(earlier)
    source = LessonSource(PATH, "path.changes", "path", Choices(), met=met, earlier=earlier)
    kinds = [drill.kind for drill in source.drills]
    assert kinds[:2] == ["review", "review"]
    assert set(kinds[2:]) == set(DRILL_KINDS)
    assert all(drill.task is None for drill in source.drills[:2]), "another tune's page has them"
    alone = LessonSource(PATH, "path.changes", "path", Choices())
    assert "review" not in [drill.kind for drill in alone.drills]


def test_a_series_reviews_inside_its_tune_first(folder: Path) -> None:
    (folder / "course.toml").write_text(
        '[defaults]\nformats = ["mid"]\ndrills = ["review"]\n'
        '[[lesson]]\nchart = "boats.changes"\nteaches = ["A"]\n'
        '[[lesson]]\nchart = "path.changes"\nteaches = ["A"]\n'
        '[[lesson]]\nchart = "path.changes"\nteaches = ["B"]\nreviews = ["A"]\n',
        encoding="utf-8",
    )
    course = read_course(folder / "course.toml")
    with pytest.raises(CourseError, match=r"'path\.changes' is played in its \[\[lesson\]\]s"):
        tunes_until(course, folder, folder / "path.changes")
    first, second = drill_jobs(folder).values()
    assert first.lesson is not None
    assert first.lesson.number == 2
    assert all(re.search("Review of Paper Boats", m) for m in sections_in(first, folder))
    assert all(re.search(r"Review: .*section A", m) for m in sections_in(second, folder))


def test_a_tune_without_changes_says_so(folder: Path) -> None:
    (folder / "boats.changes").write_text(
        "title: Boats\n[A]\nplain | C | C |\nswing | C6 | C6 |\n", encoding="utf-8"
    )
    job = drill_jobs(folder)["boats/boats-drill_changes.mid"]
    with pytest.raises(OptionError, match="no change of grip for 'changes' in 'Boats'"):
        job.run([folder / "made.mid"])


@pytest.mark.parametrize("value", ['["ladders"]', "true", "[1]"])
def test_what_drills_may_be(value: str) -> None:
    with pytest.raises(CourseError, match="drills"):
        parse_course(f'[defaults]\ndrills = {value}\n[[tune]]\ncharts = ["a"]\n')


def test_a_drill_that_is_meant_is_named() -> None:
    with pytest.raises(
        CourseError, match=r"drills\[0\] must be one of .*; did you mean 'ladder'\?"
    ):
        parse_course('[defaults]\ndrills = ["ladders"]\n[[tune]]\ncharts = ["a"]\n')
