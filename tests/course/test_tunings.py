"""Tunings of a course: an axis like keys and tempos."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.course.course_file import parse_course
from porchswing.course.course_plan import make_plan
from porchswing.course.run import build_course, find_todo
from porchswing.errors import CourseError
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.executors import site

TUNE = "title: Gate\nkey: F\n[A]\n| F | C7 | Bb | F |\n"
COURSE = """[defaults]
formats = ["mid"]
tunings = ["as written", "low-G", "baritone", "guitar 5432", "GCEA"]
keys = ["as written", "G"]
[[tune]]
charts = ["gate.changes"]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "gate.changes").write_text(TUNE, encoding="utf-8")
    return tmp_path


def test_every_tuning_in_every_key_has_a_file_of_its_own(folder: Path) -> None:
    plan = make_plan(parse_course(COURSE, str(folder / "c.toml")))
    assert [name.removeprefix("gate/gate-") for name in plan.names] == [
        f"{key}{tuning}-full.mid"
        for tuning in ("as_written", "low_g", "baritone", "guitar_5432")  # GCEA is low-G again
        for key in ("", "G-")
    ]
    assert [job.choices.tuning for job in plan.jobs][::2] == [None, "GCEA", "DGBE", "EADGBE 5432"]


def test_each_is_played_on_its_strings_and_kept(folder: Path) -> None:
    course = parse_course(
        COURSE.replace('keys = ["as written", "G"]\n', ""), str(folder / "c.toml")
    )
    with OutputFolder(folder / "out").locked() as out, site(1) as place:
        summary = build_course(course, find_todo(course, out), out, place)
        assert (len(summary.made), summary.failed) == (4, ())
        made = {name: (out.folder / name).read_bytes() for name in summary.made}
        assert len(set(made.values())) == 4
        told = {name: dict(out.entries[name].made_from).get("tuning") for name in made}
        assert sorted(told.values(), key=str) == ["DGBE", "EADGBE 5432", "GCEA", None]
        assert find_todo(course, out).jobs == ()


def test_a_tune_has_its_own_tunings_or_its_own_tuning() -> None:
    course = parse_course(
        COURSE
        + 'tunings = ["baritone"]\n[[tune]]\ncharts = ["b.changes"]\ntuning = "guitar"\n'
        + '[[tune]]\ncharts = ["c.changes"]\n'
    )
    assert [tune.tunings for tune in course.tunes] == [
        ("DGBE",),
        (),
        (None, "GCEA", "DGBE", "EADGBE 5432"),
    ]
    assert course.tunes[1].choices.tuning == "guitar"


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('tunings = ["gCEQ"]', r"tunings\[0\] unknown tuning 'gCEQ'.* \(or \"as written\"\)"),
        ('tunings = ["gCEA"]\ntuning = "gCEA"', "cannot stand beside tuning"),
        ("tunings = []", "tunings"),
    ],
)
def test_what_tunings_may_say(line: str, message: str) -> None:
    with pytest.raises(CourseError, match=message):
        parse_course(f'[[tune]]\ncharts = ["a"]\n{line}\n')
