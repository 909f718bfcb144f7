"""A lesson made from the page: what is ticked, for whom, and the folder it goes into."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from porchswing.bench.shown.tune_reading import choices_of
from porchswing.errors import OptionError, check_one_of
from porchswing.file_formats import SOUND
from porchswing.lesson.lesson_index import INDEX
from porchswing.lesson.lesson_job import GROUPS, PLAY_ALONG, PRACTISE
from porchswing.lesson.pack import make_lesson
from porchswing.lesson.source import MIX_WORDS, MIXES, TEMPO_SHARES, LessonSource
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.executors import site
from porchswing.outputs.names import file_word
from porchswing.pages.practice.task import parse_task

MOST_LETTERS = 60
"""The longest name of a student."""

TICKED_SHARE = 0.8
"""Tracks at this share of the tempo are ticked at first: the page plays at any other."""


def lesson_groups() -> list[dict[str, Any]]:
    """Return what a lesson can hold: each heading, a sentence, and its tracks one by one."""
    tracks = [
        {"share": share, "mix": mix, "words": MIX_WORDS[mix], "ticked": share == TICKED_SHARE}
        for share in TEMPO_SHARES
        for mix in MIXES
    ]
    return [
        {
            "name": name,
            "words": words,
            "always": name == PRACTISE,
            "tracks": tracks if name == PLAY_ALONG else [],
        }
        for name, words in GROUPS.items()
    ]


def _tracks(asked: Sequence[Any]) -> tuple[tuple[float, str], ...]:
    """Return the tracks of a message, checked: a share of the tempo and a mix each."""
    tracks = tuple((float(share), str(mix)) for share, mix in asked)
    for share, mix in tracks:
        if share not in TEMPO_SHARES or mix not in MIXES:
            shares = ", ".join(f"{each:g}" for each in TEMPO_SHARES)
            raise OptionError(
                f"a track is one of {shares} and {' or '.join(MIXES)}, got {share:g} {mix}"
            )
    return tracks


def lesson_order(ask: Mapping[str, Any], chart: Path) -> tuple[LessonSource, Path]:
    """Return the lesson that a message orders, checked, and its folder beside the chart.

    Raises
    ------
    OptionError
        For an unknown group, track or format, or a task that cannot be read.
    """
    groups = tuple(str(name) for name in ask.get("groups", ()))
    for name in groups:
        if name not in GROUPS:
            raise OptionError(f"unknown group {name!r}; the groups are {', '.join(GROUPS)}")
    sound = str(ask.get("format", "mp3"))
    check_one_of("format", sound, SOUND)
    student = " ".join(str(ask.get("student", "")).split())[:MOST_LETTERS]
    task = str(ask.get("task", "")).strip()
    stem = file_word(chart.stem)
    source = LessonSource(
        str(ask["text"]),
        chart.name,
        stem,
        choices_of(ask.get("controls", {})),
        formats=(sound,),
        groups=groups or (PRACTISE,),
        tracks=_tracks(ask.get("tracks", ())),
        student_tracks=True,
        student=student,
        task=parse_task(task) if task else None,
    )
    name = f"{stem}-lesson" + (f"-{file_word(student)}" if student else "")
    return source, chart.parent / name


def make_order(
    source: LessonSource, folder: Path, on_progress: Callable[[float], None]
) -> dict[str, Any]:
    """Make a lesson; return its folder, its files' number and size, and what failed."""
    with OutputFolder(folder).locked() as output, site(None) as workplace:
        summary = make_lesson(
            source, output, workplace, on_progress=lambda share, made: on_progress(share)
        )
    files = [
        path for path in folder.rglob("*") if path.is_file() and ".porchswing" not in path.parts
    ]
    return {
        "folder": str(folder),
        "index": INDEX,
        "files": len(files),
        "bytes": sum(path.stat().st_size for path in files),
        "made": len(summary.made),
        "kept": summary.kept,
        "failed": failed_words([(row.file, row.message) for row in summary.failed]),
    }


def failed_words(failed: Sequence[tuple[str, str]]) -> list[str]:
    """Return what was not made and why, each reason once.

    >>> failed_words([("a.mp3", "no room"), ("b.mp3", "no room"), ("c.pdf", "no font")])
    ['a.mp3 and 1 more: no room', 'c.pdf: no font']
    """
    files: dict[str, list[str]] = {}
    for file, message in failed:
        files.setdefault(message, []).append(file)
    return [
        f"{own[0]}{f' and {len(own) - 1} more' if own[1:] else ''}: {message}"
        for message, own in files.items()
    ]
