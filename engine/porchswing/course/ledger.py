"""A course as a path of learning: what each tune brings that is new, and what it goes over again.

The ledger is a record first, then a text for teachers and JSON facts.

Counted are shapes, swaps and strums; a change from shape to shape is counted too, but makes no
order: it follows from the shapes. The order proposed is the one with the fewest new things in
its fullest lesson, then the most even; it is exact up to :data:`MOST_EXACT` tunes.

For review each lesson takes the hard changes met before that were played longest ago in the
course's own order. What studies found for musicians, and no more: with a day between sessions
accuracy improved (Simmons 2012, J. Research in Music Education 59(4), doi
10.1177/0022429411424798), and pieces alternated every few minutes were rated better a day later
than the same pieces one after another (Carter & Grahn 2016, Frontiers in Psychology 7:1251);
lags of minutes made no difference for piano sequences (Wiseheart, D'Souza & Chae 2017, PLoS ONE
12(8):e0182986). That reviews should come at growing intervals is a rule of thumb.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial, reduce
from itertools import accumulate
from pathlib import Path
from typing import Any

from porchswing.chart.chart_text import read_chart_text
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.course.course_file import Course
from porchswing.course.course_lessons import lesson_chart
from porchswing.course.course_plan import chart_files
from porchswing.errors import CourseError
from porchswing.grips.drawings.moves import Move
from porchswing.lesson.learned import EarlierTune, Met, TuneContent, due_changes, tune_content
from porchswing.options import Choices

MOST_EXACT = 14
"""Most tunes whose best order is proved; with more, each place takes the tune that adds least."""

ADVICE = (
    "Practise on different days rather than twice in one: with a day between, accuracy grew in a "
    "study of pianists. Within a day, alternate short pieces every few minutes rather than finish "
    "one before the next. Longer and longer pauses between reviews are a rule of thumb, no finding."
)
"""What the text for teachers says, and no more than was found."""

WIDTH = 78
"""Columns of text that fit every terminal."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """One line of the ledger: what is ``new`` in a tune, what is ``known``, what to ``review``."""

    content: TuneContent
    new: Met
    known: Met
    review: tuple[tuple[str, Move], ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """A course's lessons in its own order, and the order proposed, as places from 0."""

    title: str
    lessons: tuple[Lesson, ...]
    proposal: tuple[int, ...]
    is_proven: bool

    def fullest(self, order: Sequence[int]) -> int:
        """Return the most new things one lesson has in an order."""
        mets = [self.lessons[at].content.met for at in order]
        news = (met.beyond(before) for met, before in zip(mets, _before(mets), strict=False))
        return max((new.things for new in news), default=0)

    @property
    def own_order(self) -> tuple[int, ...]:
        """The course's own order."""
        return tuple(range(len(self.lessons)))


def ledger(course: Course, base: Path) -> Ledger:
    """Return the ledger of a course; charts are looked for from a folder.

    Lessons of a series build on each other, so a course with any keeps its own order.

    Raises
    ------
    CourseError
        Where a chart is missing; errors of charts name their file.
    """
    contents = [tune_content(chart, name, choices) for name, chart, choices in _tunes(course, base)]
    lessons = _lessons(contents)
    if course.lessons:
        return Ledger(course.title, lessons, tuple(range(len(lessons))), True)
    proposal = best_order([content.met for content in contents])
    return Ledger(course.title, lessons, proposal, len(contents) <= MOST_EXACT)


def _tunes(course: Course, base: Path) -> list[tuple[str, Chart, Choices]]:
    """Return file name, chart and choices of everything that is learned, in order."""
    found = [
        (path.name, _read(path), tune.first_choices) for path, tune in chart_files(course, base)
    ]
    for tune in course.lessons:
        if (lesson := tune.lesson) is not None:
            path = base / tune.charts[0]
            if not path.is_file():
                raise CourseError(f"{course.file}: there is no chart {tune.charts[0]!r}")
            chart = lesson_chart(_read(path), tune.first_choices, lesson)
            titled = replace(chart, title=f"{chart.title}: {lesson.title}")
            found.append((path.name, titled, replace(tune.first_choices, key=None)))
    if not found:
        raise CourseError(f"{course.file}: no chart has a name that the course gives")
    return found


def _read(path: Path) -> Chart:
    return parse_chart(read_chart_text(path), str(path))


def tunes_until(course: Course, base: Path, chart_path: Path) -> tuple[EarlierTune, ...]:
    """Return the tunes before a chart, in the course's order.

    Raises
    ------
    CourseError
        Where the course does not have the chart.
    """
    found: list[EarlierTune] = []
    for path, tune in chart_files(course, base):
        if path.resolve() == chart_path.resolve():
            return tuple(found)
        found.append(EarlierTune(read_chart_text(path), path.name, tune.first_choices))
    charts = [path for tune in course.lessons for path in tune.charts]
    if any((base / path).resolve() == chart_path.resolve() for path in charts):
        raise CourseError(
            f"{course.file}: {chart_path.name!r} is played in its [[lesson]]s; porchswing build "
            "makes those"
        )
    raise CourseError(f"{course.file}: the course has no tune {chart_path.name!r}")


def _lessons(contents: Sequence[TuneContent]) -> tuple[Lesson, ...]:
    found = []
    befores = _before([content.met for content in contents])
    for content, due, before in zip(contents, due_changes(contents), befores, strict=False):
        new = content.met.beyond(before)
        review = tuple((contents[change.tune].title, change.move) for change in due)
        found.append(Lesson(content, new, content.met.beyond(new), review))
    return tuple(found)


def _before(mets: Sequence[Met]) -> Iterator[Met]:
    """Yield what was met before each of some lessons, and last what was met in all."""
    return accumulate(mets, Met.with_, initial=Met())


def best_order(mets: Sequence[Met]) -> tuple[int, ...]:
    """Return the order whose fullest lesson has the fewest new things, the most even among those.

    Among equals the course's own order comes first. What is new in a tune depends on which came
    before and not in which order, so sets of tunes are what is searched (Held & Karp 1962).
    """
    count = len(mets)
    if count > MOST_EXACT:
        return _greedy_order(mets)
    best: dict[int, tuple[tuple[int, int], tuple[int, ...]]] = {0: ((0, 0), ())}
    for learned in range(1 << count):
        (most, squares), order = best[learned]
        before = reduce(Met.with_, (mets[at] for at in order), Met())
        for at in range(count):
            if not learned >> at & 1:
                new = mets[at].beyond(before).things
                candidate = ((max(most, new), squares + new * new), (*order, at))
                goal = learned | 1 << at
                if goal not in best or candidate < best[goal]:
                    best[goal] = candidate
    return best[(1 << count) - 1][1]


def _greedy_order(mets: Sequence[Met]) -> tuple[int, ...]:
    left, before, order = list(range(len(mets))), Met(), []
    while left:
        at = min(left, key=lambda each: (mets[each].beyond(before).things, each))
        left.remove(at)
        order.append(at)
        before = before.with_(mets[at])
    return tuple(order)


def ledger_text(found: Ledger) -> str:
    """Return the lessons, each with what is new and what is known, then the order proposed."""
    rows = [found.title]
    for number, lesson in enumerate(found.lessons, 1):
        rows += ["", *_lesson_rows(number, lesson)]
    rows += ["", *_order_rows(found), "", *textwrap.wrap(ADVICE, WIDTH)]
    return "\n".join(rows)


def _lesson_rows(number: int, lesson: Lesson) -> Iterator[str]:
    new, known = lesson.new, lesson.known
    yield f"{number}. {lesson.content.title}: {new.things} new, {known.things} known"
    indented = partial(textwrap.wrap, width=WIDTH, initial_indent="   ", subsequent_indent="     ")
    for word, met in (("new", new), ("known", known)):
        for kind, names in _named(lesson, met).items():
            yield from indented(f"{word} {kind}: {'; '.join(names)}") if names else ()
    yield f"   changes of shape: {len(new.changes)} new, {len(known.changes)} known"
    for title, move in lesson.review:
        yield from indented(f"review, from {title}: {move}")


def _named(lesson: Lesson, met: Met) -> dict[str, list[str]]:
    return {
        "shapes": [f"{e.shape} {e.name}" for e in lesson.content.shapes if e.shape in met.shapes],
        "swaps": sorted(met.swaps),
        "strums": sorted(met.strums),
    }


def _order_rows(found: Ledger) -> Iterator[str]:
    own = found.fullest(found.own_order)
    if found.proposal == found.own_order:
        yield f"order: as it is; its fullest lesson has {own} new things"
        return
    best = found.fullest(found.proposal)
    proof = "" if found.is_proven else " (a good order; too many tunes to prove the best)"
    yield f"order proposed: fullest lesson {best} new things, now {own}{proof}"
    for number, at in enumerate(found.proposal, 1):
        yield f"   {number}. {found.lessons[at].content.title}"


def ledger_facts(found: Ledger) -> dict[str, Any]:
    """Return the ledger as JSON facts."""
    return {
        "title": found.title,
        "lessons": [
            {
                "file": lesson.content.file,
                "title": lesson.content.title,
                "new": _named(lesson, lesson.new) | {"changes": len(lesson.new.changes)},
                "known": _named(lesson, lesson.known) | {"changes": len(lesson.known.changes)},
                "review": [{"from": title, "change": str(move)} for title, move in lesson.review],
            }
            for lesson in found.lessons
        ],
        "proposal": [found.lessons[at].content.file for at in found.proposal],
        "fullest": {
            "now": found.fullest(found.own_order),
            "proposed": found.fullest(found.proposal),
        },
        "proven": found.is_proven,
    }
