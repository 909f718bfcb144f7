"""The whole lesson: one folder, everything in it, and only what changed made again."""

from __future__ import annotations

import json
import os
import re
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import pytest

from porchswing.errors import MissingExtraError, OptionError, OutputError
from porchswing.file_formats import Tags
from porchswing.lesson import pack
from porchswing.lesson.drill_source import DrillSource
from porchswing.lesson.lesson_job import MAKERS, PLAY_ALONG, Maker
from porchswing.lesson.pack import check_extras, lesson_jobs, make_lesson
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary
from porchswing.outputs.jobs.executors import Site, site
from porchswing.pages.practice.task import parse_task

LONG = {"practice page", "handout", "track", "compare", "drill", "stems"}

TEXT = """title: Two & <Small> Lamps
key: C
tempo: 240
form: A B
[A]
| C Am | Dm G7 |
[B]
| C7 | F Fm |
"""


@pytest.fixture(scope="module")
def place() -> Iterator[Site]:
    with site(2) as found:
        yield found


def _source(text: str = TEXT) -> LessonSource:
    return LessonSource(text, "lamps.changes", "lamps", Choices(), ("wav",), ("a4",))


def _make(source: LessonSource, folder: Path, place: Site) -> Summary:
    with OutputFolder(folder).locked() as output:
        return make_lesson(source, output, place)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, place: Site) -> Path:
    folder = tmp_path_factory.mktemp("lesson")
    summary = _make(_source(), folder, place)
    assert summary.failed == ()
    assert summary.kept == 0
    return folder


def write_a_byte(_: LessonSource, __: str, parts: Sequence[Path], ___: Tags) -> None:
    """Make any file of a lesson at once, for tests of which files there are."""
    for part in parts:
        part.write_bytes(b"x")


@pytest.fixture
def bytes_alone(monkeypatch: pytest.MonkeyPatch) -> Site:
    """Let every file of a lesson be a byte; return a place that makes them in this process."""
    for kind in MAKERS:
        monkeypatch.setitem(MAKERS, kind, write_a_byte)
    return Site(lambda: ThreadPoolExecutor(1), 1)


def test_everything_asked_for_is_there_and_in_the_manifest(made: Path) -> None:
    names = {
        path.relative_to(made).as_posix()
        for path in made.rglob("*")
        if path.is_file() and ".porchswing" not in path.parts
    }
    listed = set(json.loads((made / "manifest.json").read_text("utf-8"))["files"])
    assert listed == names - {"manifest.json"}
    suffixes = {name.rpartition(".")[2] for name in names}
    assert suffixes >= {"html", "pdf", "wav", "mid", "vtt", "musicxml", "changes", "flac", "zip"}
    top = {name.partition("/")[0] for name in names}
    assert top == {
        "index.html", "manifest.json", "lamps-for-the-student.zip",
        "for-the-student", "for-the-teacher",
    }  # fmt: skip
    own = "for-the-teacher/tracks/"
    tracks = sorted(name for name in names if name.startswith(own) and name.endswith("wav"))
    assert len(tracks) == 6, "three tempos, with and without the chord part"
    for folder in ("compare/", "drills/", "stems/", "cues/"):
        assert any(name.startswith(f"for-the-teacher/{folder}") for name in names)
    stems = {name for name in names if "/stems/" in name}
    assert all(name.endswith(".flac") for name in stems)


def test_the_students_zip_is_the_students_folder_under_ten_megabytes(made: Path) -> None:
    """As Python's own zipfile reads it: page and handout, nothing of the teacher's."""
    path = made / "lamps-for-the-student.zip"
    assert path.stat().st_size < 10_000_000
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        for name in names:
            own = made / "for-the-student" / name.removeprefix("lamps/")
            assert archive.read(name) == own.read_bytes()
    folder = made / "for-the-student"
    assert sorted(names) == sorted(f"lamps/{file.name}" for file in folder.iterdir())
    size = f"{path.stat().st_size / 1e6:.1f} MB"
    assert size in (made / "index.html").read_text("utf-8")


def test_a_screen_reader_gets_the_grip_of_every_bar_in_order(made: Path) -> None:
    rows = (made / "for-the-student" / "lamps-grips_in_words.txt").read_text("utf-8").splitlines()
    places = [row.partition(":")[0].partition(",")[0] for row in rows[1:]]
    assert list(dict.fromkeys(places[: places.index("Section B.")])) == [
        *("Section A.", "Bar 1", "Bar 2"),
    ]
    assert list(dict.fromkeys(places[places.index("Section B.") :])) == [
        *("Section B.", "Bar 1", "Bar 2"),
    ]
    said = [row for row in rows if row.startswith("Bar")]
    assert all(" fret" in row or row.endswith("as before.") for row in said)
    assert " fret" in said[0]


def test_the_plan_leads_into_the_page_at_bars_it_has(made: Path) -> None:
    page = (made / "index.html").read_text("utf-8")
    tasks = re.findall(r'href="for-the-student/lamps-practice.html#([^"]+)"', page)
    assert tasks
    bars = [found for task in tasks for found in re.findall(r"bars=(\d+)-(\d+)", task)]
    assert bars
    assert all(1 <= int(first) <= int(last) <= 4 for first, last in bars)


def test_tracks_go_to_the_student_where_that_is_asked() -> None:
    jobs = lesson_jobs(replace(_source(), student_tracks=True))
    names = [name for job in jobs for name in job.outputs if "/tracks/" in name]
    sounds = [name for name in names if name.endswith("wav")]
    assert len(sounds) == 6
    assert all(name.startswith("for-the-student/") for name in sounds)
    assert all(name.startswith("for-the-teacher/") for name in set(names) - set(sounds))


def test_every_link_of_the_index_leads_to_a_file_and_no_text_is_markup(made: Path) -> None:
    page = (made / "index.html").read_text("utf-8")
    links = re.findall(r'(?:href|src)="([^"]*)"', page)
    assert len(links) > 20
    assert all((made / unquote(link.partition("#")[0])).is_file() for link in links)
    assert "<Small>" not in page
    assert "Two &amp; &lt;Small&gt; Lamps" in page


@pytest.mark.parametrize("kind", ["practice page", "track", "compare"])
def test_a_lesson_of_which_something_failed_has_an_index_of_the_rest(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """The rest can be taught from; what is missing is named, and the next run makes it."""
    here = Site(lambda: ThreadPoolExecutor(1), 1)
    source = replace(_source(), groups=(PLAY_ALONG,))
    if kind != "practice page":  # what is in the others matters once
        request.getfixturevalue("bytes_alone")
    good = MAKERS[kind]

    def fail(*_: object) -> None:
        raise OutputError(f"cannot write {tmp_path}: No space left on device")

    monkeypatch.setitem(MAKERS, kind, fail)
    summary = _make(source, tmp_path, here)
    assert summary.failed
    there = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.*")}
    assert summary.kept == 0
    page = (tmp_path / "index.html").read_text("utf-8")
    links = [unquote(link) for link in re.findall(r'(?:href|src)="([^"#]*)', page)]
    assert links
    assert set(links) <= there
    assert "Could not be made" in page
    titles = {"practice page": "Practice page", "track": "240 bpm", "compare": "Plain, then swing"}
    assert titles[kind] in page
    assert str(tmp_path) not in page
    assert ("lamps-for-the-student.zip" in there) == (kind != "practice page")
    monkeypatch.setitem(MAKERS, kind, good)
    again = _make(source, tmp_path, here)
    assert again.failed == ()
    assert {failure.file for failure in summary.failed} <= set(again.made)
    assert "Could not be made" not in (tmp_path / "index.html").read_text("utf-8")


def test_what_is_soon_made_comes_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kinds: list[str] = []

    def recorded(kind: str) -> Maker:
        def make(source: LessonSource, argument: str, parts: Sequence[Path], tags: Tags) -> None:
            kinds.append(kind)
            for part in parts:
                part.write_bytes(b"x")

        return make

    for kind in MAKERS:
        monkeypatch.setitem(MAKERS, kind, recorded(kind))
    summary = _make(_source(), tmp_path, Site(lambda: ThreadPoolExecutor(1), 1))
    assert summary.failed == ()
    assert kinds.count("drill") > 2
    assert kinds.count("swap") >= 1
    last_long = max(place for place, kind in enumerate(kinds) if kind in LONG)
    assert set(kinds[last_long + 1 :]) == {"swap", "chart", "musicxml", "words", "cues"}
    assert len(kinds) - last_long - 1 == sum(kind not in LONG for kind in kinds)


def test_made_again_nothing_is_made(made: Path, place: Site) -> None:
    before = {path: path.stat().st_mtime_ns for path in made.rglob("*.*") if path.is_file()}
    summary = _make(_source(), made, place)
    assert summary.made == ()
    assert summary.kept == summary.planned
    after = {path: path.stat().st_mtime_ns for path in before if path.exists()}
    touched = [path.name for path in after if after[path] != before[path]]
    assert set(touched) <= {"manifest.json", "made.jsonl"}


def test_another_tempo_remakes_and_takes_the_old_tracks_away(
    tmp_path: Path, bytes_alone: Site
) -> None:
    folder = tmp_path / "lesson"
    assert _make(_source(), folder, bytes_alone).failed == ()
    assert (folder / "for-the-teacher/tracks/lamps-240bpm-band.wav").exists()
    summary = _make(_source(TEXT.replace("240", "200")), folder, bytes_alone)
    assert summary.failed == ()
    assert "for-the-teacher/tracks/lamps-200bpm-band.wav" in summary.made
    assert "for-the-teacher/tracks/lamps-240bpm-band.wav" in summary.removed
    assert not (folder / "for-the-teacher/tracks/lamps-240bpm-band.wav").exists()
    assert (folder / "for-the-teacher/tracks/lamps-200bpm-band.wav").exists()


def test_a_file_somebody_else_made_is_left_alone(tmp_path: Path, place: Site) -> None:
    stranger = tmp_path / "index.html"
    stranger.write_text("mine", "utf-8")
    with pytest.raises(OutputError, match="--force replaces it"):
        _make(_source(), tmp_path, place)
    assert stranger.read_text("utf-8") == "mine"
    left = {path.name for path in tmp_path.iterdir()}
    assert left <= {"index.html", "manifest.json", ".porchswing"}


def test_without_the_extra_one_sentence_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pack, "find_spec", lambda name: None if name == "typst" else object())
    with pytest.raises(MissingExtraError, match=r'extra "lesson".*pip install'):
        check_extras()


def test_a_chart_too_long_for_a_lesson_says_so() -> None:
    bars = "| C " * 500 + "|"
    with pytest.raises(OptionError, match="at most 400 bars, 'Long' plays 500"):
        lesson_jobs(_source(f"title: Long\n[A]\n{bars}\n"))


def test_a_task_for_bars_the_tune_does_not_have_is_refused_before_any_work() -> None:
    with pytest.raises(OptionError, match="the task's bars must be 1 to 4, got 9"):
        lesson_jobs(replace(_source(), task=parse_task("bars 2-9")))
    assert lesson_jobs(replace(_source(), task=parse_task("bars 2-4 at 70 %")))


def test_no_output_leaves_the_folder_whatever_the_lesson_is_called(tmp_path: Path) -> None:
    source = LessonSource(TEXT, "x", "../../etc", Choices(), ("wav",), ())
    folder = OutputFolder(tmp_path / "here")
    names = [name for job in lesson_jobs(source) for name in job.outputs]
    outside = [name for name in names if os.path.normpath(name).startswith("..")]
    assert len(outside) > 1
    for name in outside:
        with pytest.raises(OutputError, match="outside"):
            folder.work_path(tmp_path / "here" / name)


def test_a_tune_whose_last_time_differs_gets_a_practice_page(tmp_path: Path) -> None:
    """The swing lane may end its last time through otherwise; the bars are the same ones."""
    text = "title: Four\nkey: F\nform: A B\nseed: 4\n[A]\n| F Dm7 | Gm7 C7 |\n"
    text += "[B]\n| Am7 D7 | Gm7 C7 |\n"
    source = LessonSource(text, "four.changes", "four", Choices(), ("wav",), ())
    assert any(name.endswith("-last") for name in source.lead.chart.form)
    path = tmp_path / "page.html"
    MAKERS["practice page"](source, "", [path], source.take.tags)
    assert path.stat().st_size > 100_000


def test_a_quick_lesson_is_page_handout_and_two_tracks(tmp_path: Path, place: Site) -> None:
    quick = replace(_source(), quick=True)
    summary = _make(quick, tmp_path, place)
    assert summary.failed == ()
    made = {path.name for path in tmp_path.rglob("*") if ".porchswing" not in path.parts}
    assert {"index.html", "lamps-practice.html", "lamps-handout-a4.pdf"} <= made
    sounds = sorted(path.name for path in tmp_path.rglob("*.wav"))
    assert sounds == ["lamps-240bpm-band.wav", "lamps-240bpm-practice.wav"]
    text = (tmp_path / "index.html").read_text("utf-8")
    assert all(sound in text for sound in sounds)
    assert _make(quick, tmp_path, place).made == ()


def test_a_quick_lesson_leaves_what_a_whole_one_made(
    made: Path, tmp_path: Path, place: Site
) -> None:
    folder = tmp_path / "copy"
    shutil.copytree(made, folder)
    before = {path.relative_to(folder) for path in folder.rglob("*.flac")}
    summary = _make(replace(_source(), quick=True), folder, place)
    assert summary.failed == ()
    assert summary.removed == ()
    assert before
    assert before == {path.relative_to(folder) for path in folder.rglob("*.flac")}


def test_the_list_of_what_a_lesson_holds_arranges_no_drill(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise AssertionError("a drill was arranged")

    source = replace(_source(), stem="unheard")  # not one whose drills are at hand
    with monkeypatch.context() as patch:
        patch.setattr(DrillSource, "take", fail)
        jobs = lesson_jobs(source)
    assert [job.argument for job in jobs if job.kind == "drill"] == [d.stem for d in source.drills]
    assert all(drill.performance.parts for drill in source.drills)
