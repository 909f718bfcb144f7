"""One job of a course: one chart in one key at one tempo, its mixes; or its pages, or a drill.

The tunes before it in the course come along, so that a handout marks as known what they brought.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from porchswing.chart.language.reader import parse_chart
from porchswing.course.course_file import Mix, SectionLesson
from porchswing.errors import OptionError, PorchswingError
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.options import Choices

if TYPE_CHECKING:
    from porchswing.lesson.learned import EarlierTune, Met
    from porchswing.lesson.source import LessonSource
    from porchswing.take_model import Take

PAGES = Mix("pages")
"""Stands for the practice page and the handouts among the mixes of a tune."""

MOST_BEFORE = 50
"""Most tunes before one that count as what a student remembers; the nearest ones do."""


@dataclass(frozen=True, slots=True)
class Output:
    """One file to be: its ``name`` below the folder, the ``mix`` it holds, and its digest's base.

    ``base`` is the digest of all that goes in but the patterns, known once it is arranged.
    """

    name: str
    mix: Mix
    base: str


@dataclass(frozen=True, slots=True)
class JobFacts:
    """The pattern files that shaped a job's outputs, and the seconds of its recordings."""

    patterns: tuple[str, ...]
    audio_s: float


@dataclass(frozen=True, slots=True)
class TuneBefore:
    """One chart that a course plays earlier, as text, with the choices for its first key.

    Of a ``lesson`` in a series what it plays counts.
    """

    name: str
    text: str
    choices: Choices
    lesson: SectionLesson | None = None

    @property
    def digest(self) -> str:
        """Digest of everything that decides what the tune brings."""
        facts: tuple[object, ...] = (self.name, self.text, self.choices)
        facts += () if self.lesson is None else (self.lesson,)
        return hashlib.sha256(repr(facts).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class TuneJob:
    """One chart in one key at one tempo, and the files ``wanted`` of it.

    ``tags`` are the course and the chart's place in it; a ``lesson`` plays some sections alone;
    ``known`` are sections of it that a lesson before taught, ``before`` the tunes played earlier
    where what they brought counts. A ``drill`` is the one kind of practice track to make.
    """

    chart_name: str
    chart_text: str
    choices: Choices
    wanted: tuple[Output, ...]
    tags: Tags = NO_TAGS
    lesson: SectionLesson | None = None
    known: tuple[str, ...] = ()
    before: tuple[TuneBefore, ...] = ()
    drill: str = ""

    @property
    def outputs(self) -> tuple[str, ...]:
        """Names of the files wanted."""
        return tuple(output.name for output in self.wanted)

    def run(self, parts: Sequence[Path]) -> JobFacts:
        """Arrange once, then write every mix in every format; or pages and handouts alone."""
        if self.lesson is not None:
            return self._of_lesson(self.lesson).run(parts)
        if self.wanted[0].mix == PAGES:
            return self._write_pages(parts)
        if self.drill:
            return self._write_drill(parts)
        from porchswing.take import take_from_chart

        chart = parse_chart(self.chart_text, self.chart_name)
        take = take_from_chart(chart, self._choices_knowing())
        audio_s = 0.0
        for mix in dict.fromkeys(output.mix for output in self.wanted):
            played = take.leaving_out(mix.without)
            paths = [p for o, p in zip(self.wanted, parts, strict=True) if o.mix == mix]
            title = f"{take.tags.title} ({mix.name})"
            tags = replace(self.tags, title=title, artist=take.tags.artist)
            report = replace(played, tags=tags).write(paths, threads=1)
            if report is not None:
                audio_s += report.seconds * len(report.paths)
        return JobFacts(patterns_of(take), audio_s)

    def _of_lesson(self, lesson: SectionLesson) -> TuneJob:
        """Return the job with the chart of its lesson, in the key asked for."""
        from porchswing.chart.language.writer import write_chart
        from porchswing.course.course_lessons import lesson_chart

        whole = parse_chart(self.chart_text, self.chart_name)
        chart = lesson_chart(whole, self.choices, lesson)
        chart = replace(chart, title=f"{chart.title}: {lesson.title}")
        return replace(
            self,
            chart_text=write_chart(chart),
            choices=replace(self.choices, key=None),
            lesson=None,
            known=tuple(name for group in lesson.taught for name in group),
        )

    def _choices_knowing(self) -> Choices:
        """Return the choices with the shapes of the tunes before among those the hand knows."""
        if not self.before:
            return self.choices
        from porchswing.lesson.learned import knowing

        return replace(self.choices, ease=knowing(self.choices.ease, met_in(self.before)))

    def _lesson_source(self) -> LessonSource:
        """Return what pages, handouts and drills are made from."""
        from porchswing.lesson.learned import Met
        from porchswing.lesson.source import LessonSource

        met = met_in(self.before).with_(Met(sections=frozenset(self.known)))
        return LessonSource(
            self.chart_text,
            self.chart_name,
            "",
            self._choices_knowing(),
            met=met,
            earlier=earlier_tunes(self.before),
        )

    def _write_drill(self, parts: Sequence[Path]) -> JobFacts:
        """Write one kind of drill, all of its tracks one after another."""
        from porchswing.performance.concatenate import join, named
        from porchswing.recording import write_performance

        source = self._lesson_source()
        found = [drill for drill in source.drills if drill.kind == self.drill]
        if not found:
            raise OptionError(
                f"there is no change of grip for {self.drill!r} in {source.chart.title!r}; "
                "leave it out of drills"
            )
        title = f"{source.chart.title} ({self.drill})"
        played = [named(drill.performance, drill.title) for drill in found]
        whole = join(played, title) if len(played) > 1 else found[0].performance
        tags = replace(self.tags, title=title, artist=source.chart.by)
        report = write_performance(whole, parts, self.choices.sound, tags=tags, threads=1)
        audio_s = report.seconds * len(report.paths) if report is not None else 0.0
        return JobFacts(patterns_of(source.take), audio_s)

    def _write_pages(self, parts: Sequence[Path]) -> JobFacts:
        from porchswing.lesson.lesson_job import make_handout, make_practice_page

        source = self._lesson_source()
        for name, part in zip(self.outputs, parts, strict=True):
            make = make_practice_page if name.endswith(".html") else make_handout
            paper = name.removesuffix(".pdf").rpartition("-")[2]
            make(source, paper, [part], self.tags)
        return JobFacts(patterns_of(source.take), 0.0)


def patterns_of(take: Take) -> tuple[str, ...]:
    """Return the pattern files that shaped a take."""
    return tuple(sorted({name for part in take.score.parts for name in part.patterns}))


def met_in(tunes: tuple[TuneBefore, ...]) -> Met:
    """Return what tunes brought; a chart that cannot be played brings nothing."""
    from porchswing.lesson.learned import met_in_all

    return met_in_all(earlier_tunes(tunes))


def earlier_tunes(tunes: tuple[TuneBefore, ...]) -> tuple[EarlierTune, ...]:
    """Return tunes as lessons review them; a chart that cannot be played is left out."""
    return tuple(filter(None, map(_as_learned, tunes)))


@lru_cache(maxsize=2 * MOST_BEFORE)
def _as_learned(tune: TuneBefore) -> EarlierTune | None:
    from porchswing.chart.language.writer import write_chart
    from porchswing.course.course_lessons import lesson_chart
    from porchswing.lesson.learned import EarlierTune, content_of

    found = EarlierTune(tune.text, tune.name, tune.choices)
    try:
        if tune.lesson is not None:
            chart = lesson_chart(parse_chart(tune.text, tune.name), tune.choices, tune.lesson)
            found = EarlierTune(write_chart(chart), tune.name, replace(tune.choices, key=None))
        content_of(found)
    except PorchswingError:
        return None  # its own job reports the error
    return found
