"""A course with pages: an index, practice pages, handouts, a playlist, only where asked."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group
from porchswing.course.course_file import parse_course, read_course
from porchswing.course.run import build_course, find_todo
from porchswing.errors import CourseError
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary
from porchswing.outputs.jobs.executors import Site
from support.practice_lanes import silent_pages

CHART = "title: {title}\nby: Nobody\nkey: C\ntempo: 160\n[A]\n| C | Am7 | Dm7 | G7 |\n"
COURSE = """title = "Porch <term>"
[defaults]
pages = true
formats = ["flac"]
[[tune]]
charts = ["a.changes"]
keys = ["as written", "Eb"]
[[tune]]
charts = ["b.changes"]
pages = false
"""


@pytest.fixture(scope="module", autouse=True)
def silent() -> Iterator[None]:
    with silent_pages():
        yield


def built(folder: Path) -> Summary:
    course = read_course(folder / "course.toml")
    here = Site(lambda: ThreadPoolExecutor(1), 1)
    with OutputFolder(folder / "out").locked() as output:
        return build_course(course, find_todo(course, output), output, here)


def new_course(folder: Path) -> Path:
    for name in "ab":
        (folder / f"{name}.changes").write_text(CHART.format(title=f"Tune <{name}>"))
    (folder / "course.toml").write_text(COURSE)
    return folder


def counted(folder: Path) -> tuple[int, int]:
    """Return how many files are planned, and how many are to be made."""
    todo = find_todo(read_course(folder / "course.toml"), OutputFolder(folder / "out"))
    return len(todo.names), todo.files


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Summary]:
    """Return a course that was built, and what its build said."""
    folder = new_course(tmp_path_factory.mktemp("course"))
    planned, to_make = counted(folder)
    summary = built(folder)
    assert planned == to_make == summary.planned == len(summary.made)
    return folder, summary


def test_pages_handouts_index_and_playlist_are_made_and_then_kept(
    made: tuple[Path, Summary],
) -> None:
    course, summary = made
    assert summary.failed == ()
    out = course / "out"
    names = {path.relative_to(out).as_posix() for path in out.rglob("*.*")}
    assert {"index.html", "playlist.m3u8", "a/a-practice.html", "a/a-Eb-practice.html"} <= names
    assert {"a/a-handout-a4.pdf", "a/a-Eb-handout-letter.pdf"} <= names
    assert not [name for name in names if name.startswith("b/") and "practice" in name]
    page = (out / "index.html").read_text("utf-8")
    links = re.findall(r'(?:href|src)="([^"]*)"', page)
    assert len(links) >= 9
    assert all((out / unquote(link)).is_file() for link in links)
    assert "Tune &lt;a&gt;" in page
    assert "<term>" not in page
    assert "Practice page, in E♭" in page
    rows = (out / "playlist.m3u8").read_text("utf-8").splitlines()
    assert rows[0] == "#EXTM3U"
    files = [row for row in rows if not row.startswith("#")]
    assert len(files) == 3
    assert all((out / file).is_file() for file in files)
    shown = CliRunner().invoke(group, ["build", str(course / "course.toml"), "-o", str(out)])
    assert shown.stdout.endswith(f"Start at a low volume. Open {out / 'index.html'}\n")
    again = built(course)
    assert again.made == ()
    assert again.kept == again.planned == summary.planned


def test_what_is_planned_and_what_is_to_make_count_index_and_playlist(
    made: tuple[Path, Summary],
) -> None:
    course, summary = made
    assert counted(course) == (summary.planned, 0)
    playlist = course / "out" / "playlist.m3u8"
    rows = playlist.read_bytes()
    playlist.unlink()
    assert counted(course) == (summary.planned, 1)
    playlist.write_bytes(rows)


def test_a_course_of_which_a_chart_failed_has_an_index_of_the_rest(tmp_path: Path) -> None:
    course = new_course(tmp_path)
    text = (course / "course.toml").read_text()
    (course / "course.toml").write_text(
        text.replace('["a.changes"]', '["a.changes", "bad.changes"]')
    )
    (course / "bad.changes").write_text("[A]\n| H |\n")
    summary = built(course)
    assert {failure.file.split("/")[0] for failure in summary.failed} == {"bad"}
    assert summary.kept == 0
    page = (course / "out" / "index.html").read_text("utf-8")
    links = re.findall(r'(?:href|src)="([^"]*)"', page)
    assert len(links) >= 9
    assert all((course / "out" / unquote(link)).is_file() for link in links)
    assert "<li>bad/bad-practice.html</li>" in page
    assert (course / "out" / "playlist.m3u8").is_file()


def test_the_page_of_another_key_is_in_that_key(made: tuple[Path, Summary]) -> None:
    page = (made[0] / "out/a/a-Eb-practice.html").read_text("utf-8")
    assert "key of E♭" in page


def test_pages_must_be_true_or_false() -> None:
    with pytest.raises(CourseError, match=r"defaults\.pages must be true or false, got 'yes'"):
        parse_course('[defaults]\npages = "yes"\n[[tune]]\ncharts = ["a"]\n')
    assert not parse_course('[[tune]]\ncharts = ["a"]\n').tunes[0].pages


def test_a_later_handout_marks_what_the_tunes_before_brought(
    tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    for name in "ab":
        (tmp_path / f"{name}.changes").write_text(CHART.format(title=name.upper()))
    rows = "".join(f'[[tune]]\ncharts = ["{name}.changes"]\n' for name in "ab")
    head = '[defaults]\npages = true\nformats = ["mid"]\n'
    (tmp_path / "course.toml").write_text(f'title = "Two"\n{head}{rows}')
    assert built(tmp_path).failed == ()
    words = {
        name: subprocess.run(
            [need_program("pdftotext"), tmp_path / f"out/{name}/{name}-handout-a4.pdf", "-"],
            capture_output=True, text=True, check=True,
        ).stdout
        for name in "ab"
    }  # fmt: skip
    assert not re.search(r"\d you know|You know this", words["a"])
    assert re.search(r"[1-9]\d* you know", words["b"])
    assert "You know this strum" in words["b"].replace("\n", " ")
    assert built(tmp_path).made == ()
    first = tmp_path / "a.changes"
    first.write_text(first.read_text().replace("| C |", "| F |"))
    made = built(tmp_path).made
    assert {"a/a-handout-a4.pdf", "b/b-handout-a4.pdf", "b/b-practice.html"} <= {*made}
    assert "b/b-full.mid" not in made
