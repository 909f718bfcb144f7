"""A whole lesson in one folder: what there shall be, made in parallel, only what changed.

Every file is known by the digest of all that went into it: the chart's text, the choices, the
patterns it plays, what kind of thing it is, and the engine's own code.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from porchswing.errors import missing_extra
from porchswing.file_formats import Tags
from porchswing.lesson.comparison import lone_swaps
from porchswing.lesson.makers import MAKERS
from porchswing.lesson.practice_plan import CARE, PlanStep, practice_plan
from porchswing.lesson.source import LessonSource, check_size
from porchswing.outputs.folder import OutputFolder
from porchswing.outputs.jobs.build import Summary, build
from porchswing.outputs.jobs.executors import Site
from porchswing.outputs.jobs.job import Origin
from porchswing.outputs.manifest import digest_of, engine_digest
from porchswing.outputs.names import check_unique, file_word
from porchswing.pages.cues import KINDS
from porchswing.pages.index import IndexGroup, IndexRow, index_page
from porchswing.rhythm.patterns import pattern_digests
from porchswing.take import road_of
from porchswing.theory.notes import with_signs

INDEX = "index.html"
MIXES: dict[str, tuple[str, ...]] = {"band": (), "practice": ("chords",)}
"""Mixes of every track and the parts they leave out."""

_EXTRA_MODULES = ("typst",)


@dataclass(frozen=True, slots=True)
class LessonJob:
    """One thing to make: its ``kind`` and ``argument`` choose how, ``outputs`` are its files.

    ``group`` is the heading it stands under on the index page, ``title`` and ``words`` what is
    said of it there; ``patterns`` is the digest of the patterns that shape it, ``number`` its
    place in the lesson.
    """

    source: LessonSource
    kind: str
    argument: str
    outputs: tuple[str, ...]
    group: str
    title: str
    words: str = ""
    patterns: str = ""
    number: int = 0

    @property
    def tags(self) -> Tags:
        """What a player shows of its recordings: the lesson is the album."""
        chart = self.source.chart
        return Tags(f"{chart.title}: {self.title}", chart.by, chart.title, self.number)

    @property
    def digest(self) -> str:
        """The digest of everything that goes in."""
        return digest_of(
            [
                engine_digest(),
                self.patterns,
                self.kind,
                self.argument,
                self.number,
                asdict_plain(self.source),
            ]
        )

    def run(self, parts: Sequence[Path]) -> None:
        """Write every output to its path in ``parts``."""
        MAKERS[self.kind](self.source, self.argument, parts, self.tags)


GROUPS = {
    "Practise": "One page for phone or computer: it plays at any tempo, offline.",
    "Print": "Both lanes, the grips, the line, the strum and the plan, on paper.",
    "Play along": "The band with you listening, and the band without its chord part for you.",
    "Hear the difference": "The same bars as you know them, then as we play them, equally loud.",
    "Drills": "Short tracks for the hard spots; the practice plan says which first.",
    "Parts and files": "For teachers and other programs; the stems add up to the mix.",
}
"""The headings of the index page and a sentence for each."""


def lesson_jobs(source: LessonSource) -> tuple[LessonJob, ...]:
    """Return everything a lesson is made of, in the order of the index page."""
    check_size(source.chart, len(road_of(source.chart, source.choices).bars))
    used = sorted({name for part in source.take.score.parts for name in part.patterns})
    known = pattern_digests()
    patterns = digest_of([[name, known.get(name)] for name in used])
    rows = [
        *_page_jobs(source),
        *_track_jobs(source),
        *_compare_jobs(source),
        *_drill_jobs(source),
        *_file_jobs(source),
    ]
    check_unique((name, f"{row[3]}: {row[4]}") for row in rows for name in row[2])
    return tuple(
        LessonJob(source, *row, patterns=patterns, number=number)
        for number, row in enumerate(rows, start=1)
    )


_Row = tuple[str, str, tuple[str, ...], str, str, str]


def _page_jobs(source: LessonSource) -> list[_Row]:
    stem = source.stem
    page = (f"{stem}-practice.html",)
    rows: list[_Row] = [
        ("practice page", "", page, "Practise", "Practice page", "Open it, press play, go slowly.")
    ]
    for paper in source.papers:
        name = "A4" if paper == "a4" else paper.capitalize()
        files = (f"{stem}-handout-{paper}.pdf",)
        rows.append(("handout", paper, files, "Print", f"Handout ({name})", "One or two pages."))
    return rows


def _track_jobs(source: LessonSource) -> list[_Row]:
    rows: list[_Row] = []
    for tempo in source.tempos_bpm:
        for mix, without in MIXES.items():
            stem = f"tracks/{source.stem}-{file_word(f'{tempo:g}')}bpm-{mix}"
            argument = f"{tempo:g} {' '.join(without)}".strip()
            words = "with the chord part" if mix == "band" else "the chords are yours"
            files = _files(stem, (*source.formats, "mid"))
            rows.append(("track", argument, files, "Play along", f"{tempo:g} bpm, {words}", ""))
    return rows


def _compare_jobs(source: LessonSource) -> list[_Row]:
    group, formats = "Hear the difference", (*source.formats, "mid")
    files = _files(f"compare/{source.stem}-compare", formats)
    rows: list[_Row] = [
        ("compare", "", files, group, "Plain, then swing", "Section by section, two clicks before.")
    ]
    for swap in lone_swaps(source.chart, source.lead):
        files = _files(f"compare/{source.stem}-{file_word(swap.name)}", formats)
        where = f"[{swap.section}] bar {swap.bar}"
        words = f"{where}: {' '.join(swap.before)} → {' '.join(swap.after)}. {swap.reason}"
        rows.append(("swap", swap.name, files, group, swap.name, with_signs(words)))
    return rows


def _drill_jobs(source: LessonSource) -> list[_Row]:
    formats = (*source.formats, "mid", "vtt")
    return [
        (
            "drill",
            drill.stem,
            _files(f"drills/{source.stem}-{file_word(drill.stem)}", formats),
            "Drills",
            with_signs(drill.title),
            with_signs(drill.words),
        )
        for drill in source.drills
    ]


def _file_jobs(source: LessonSource) -> list[_Row]:
    stem, group = source.stem, "Parts and files"
    stems = tuple(f"stems/{stem}.{part}.wav" for part in source.take.parts)
    rows: list[_Row] = [
        ("stems", "", stems, group, "Stems", "Each part alone, at its level in the mix."),
        ("chart", "", (f"{stem}.changes",), group, "The chart", "With both lanes, to edit."),
        ("musicxml", "", (f"{stem}.musicxml",), group, "MusicXML", "For a notation program."),
    ]
    for kind in KINDS:
        files = (f"cues/{stem}-{kind}s.vtt",)
        rows.append(
            ("cues", kind, files, group, f"Cues: {kind}s", "WebVTT, true to the band track.")
        )
    return rows


def _files(stem: str, suffixes: Sequence[str]) -> tuple[str, ...]:
    return tuple(f"{stem}.{suffix}" for suffix in dict.fromkeys(suffixes))


# --- making it -----------------------------------------------------------------------------


def check_extras() -> None:
    """Raise where what only a lesson needs is not installed."""
    missing = [name for name in _EXTRA_MODULES if find_spec(name) is None]
    if missing:
        raise missing_extra("a lesson", "lesson")


def make_lesson(
    source: LessonSource,
    folder: OutputFolder,
    site: Site,
    *,
    on_progress: Callable[[float], None] = lambda share: None,
) -> Summary:
    """Make what is not there yet; the caller holds the folder's lock.

    Files of ours that the lesson no longer has are removed.
    """
    check_extras()
    jobs = lesson_jobs(source)
    todo = [job for job in jobs if not _is_current(job, folder)]
    folder.refuse_strangers([folder.folder / name for job in todo for name in job.outputs])
    folder.refuse_strangers([folder.folder / INDEX])
    return build(
        todo,
        folder,
        site,
        _origin,
        names=[*(name for job in jobs for name in job.outputs), INDEX],
        about={"title": source.chart.title, "chart": source.chart_name},
        prune=True,
        finish=partial(_write_index, source, jobs, folder),
        on_progress=on_progress,
    )


def _is_current(job: LessonJob, folder: OutputFolder) -> bool:
    digest = job.digest
    return all(folder.is_current(folder.folder / name, digest) for name in job.outputs)


def _origin(job: LessonJob, output: str, told: Any) -> Origin:
    made_from = {"chart": job.source.chart_name, "kind": job.kind, "of": job.argument}
    return Origin(job.digest, {name: text for name, text in made_from.items() if text})


def _write_index(
    source: LessonSource, jobs: Sequence[LessonJob], folder: OutputFolder
) -> list[str]:
    text = _index_text(source, jobs)
    path, digest = folder.folder / INDEX, digest_of([engine_digest(), text])
    if folder.is_current(path, digest):
        return []
    with folder.making(path, digest, {"chart": source.chart_name, "kind": "index"}) as part:
        part.write_text(text, "utf-8", newline="\n")
    return [INDEX]


def _index_text(source: LessonSource, jobs: Sequence[LessonJob]) -> str:
    groups = []
    for heading, words in GROUPS.items():
        own = [job for job in jobs if job.group == heading]
        rows = tuple(_index_row(job, name) for job in own for name in _shown(job))
        groups.append(IndexGroup(heading, words, rows))
    steps = practice_plan(source.drills)
    plan = [(_minutes(step), with_signs(step.words)) for step in steps]
    chart, take = source.lead.chart, source.take
    mode = "" if chart.key.mode == "minor" else " major"
    facts = f"{with_signs(str(chart.key))}{mode}, {chart.meter}, {take.tempo_bpm:g} beats a minute"
    return index_page(chart.title, facts, groups, plan, CARE)


def _shown(job: LessonJob) -> tuple[str, ...]:
    """Return the files of a job that get a line of their own: all stems, else the first."""
    return job.outputs if job.kind == "stems" else job.outputs[:1]


def _index_row(job: LessonJob, name: str) -> IndexRow:
    if job.kind == "stems":
        return IndexRow(name, f"Stem: {name.split('.')[-2]}", has_player=False)
    return IndexRow(name, job.title, job.words)


def _minutes(step: PlanStep) -> str:
    return f"{step.minutes} min" if step.minutes else ""


def asdict_plain(source: LessonSource) -> dict[str, Any]:
    """Return a source as plain data for its digest; fractions become text."""
    return {name: repr(value) for name, value in asdict(source).items()}
