"""A course: tunes, and how each is to be played and written, as records and as TOML.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's override the defaults. The options are those of ``porchswing render``. Every
error names the file, the key path and what is allowed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from porchswing.errors import CourseError, OptionError, TuningError, near_hint
from porchswing.file_formats import ALL
from porchswing.grips.shapes.tunings import tuning
from porchswing.options import BY_FIELD, OPTION_ROWS, PARTS, Choices, choices_of
from porchswing.toml_table import MAX_LIST, TomlTable, read_toml, short, top_table

MAX_COURSE_BYTES = 1_000_000
MAX_TUNES = 20_000

_LISTS = ("tunings", "keys", "tempos", "mixes", "formats", "pages", "drills")

AS_WRITTEN = "as written"
"""How a course says "the chart's own key" or "the chart's own tempo"."""

COURSE_DRILLS = ("review", "strum", "changes", "line", "ladder", "answer", "fade")
"""Kinds of drill that a course may ask for, in the order of a practice session."""


@dataclass(frozen=True, slots=True)
class Mix:
    """A named mix: the parts left out."""

    name: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tune:
    """Some charts and what is made of each: every tuning, key, tempo, mix and format.

    ``charts`` are paths or globs relative to the course file. ``None`` among ``tunings``, ``keys``
    and ``tempos`` stands for what the chart says; a tempo such as ``60%`` is a share of that.
    Without ``tunings`` there is the one of ``choices``, and no file is named after it.
    ``pages`` asks for a practice page and handouts in every key, ``drills`` for a practice track of
    each kind named; ``choices`` holds everything else.
    """

    charts: tuple[str, ...]
    keys: tuple[str | None, ...] = (None,)
    tempos: tuple[float | str | None, ...] = (None,)
    mixes: tuple[Mix, ...] = (Mix("full"),)
    formats: tuple[str, ...] = ("wav", "mid")
    choices: Choices = field(default=Choices())
    pages: bool = False
    lesson: SectionLesson | None = None
    tunings: tuple[str | None, ...] = ()
    drills: tuple[str, ...] = ()

    @property
    def strung(self) -> tuple[Choices, ...]:
        """The choices with each tuning."""
        return tuple(replace(self.choices, tuning=each) for each in self.tunings) or (self.choices,)

    @property
    def first_choices(self) -> Choices:
        """The choices in the first tuning and the first key."""
        return replace(self.strung[0], key=self.keys[0])


@dataclass(frozen=True, slots=True)
class SectionLesson:
    """What a lesson of a series does with one tune: the sections it teaches, reviews and plays.

    ``number`` counts the lessons; one with several tunes has a record for each. ``taught`` are
    the sections of the lessons before it on the same chart, lesson by lesson; their grips are
    kept.
    """

    number: int
    title: str
    teaches: tuple[str, ...]
    reviews: tuple[str, ...] = ()
    plays: tuple[str, ...] = ()
    taught: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Course:
    """A whole course; where two tunes name one chart, the later one counts."""

    title: str
    file: str
    tunes: tuple[Tune, ...]
    lessons: tuple[Tune, ...] = ()


def read_course(path: Path) -> Course:
    """Read a course file."""
    return parse_course(read_toml(path, "a course", MAX_COURSE_BYTES, CourseError), str(path))


def parse_course(text: str, file: str = "<course>") -> Course:
    """Read a course from its text; raise :class:`~porchswing.errors.CourseError` where it errs."""
    top = top_table(text, file, "a course", MAX_COURSE_BYTES, CourseError)
    top.allow_only(("title", "defaults", "tune", "lesson"))
    defaults = _tune(top.table("defaults"), Tune(()), ())
    has_lessons = "lesson" in top.values
    rows = () if has_lessons and "tune" not in top.values else top.tables("tune", MAX_TUNES)
    tunes = tuple(_tune(row, defaults, row.texts("charts")) for row in rows)
    lessons = _lessons(top.tables("lesson", MAX_TUNES), defaults) if has_lessons else ()
    return Course(top.text("title", Path(file).stem), file, tunes, lessons)


_OF_SECTIONS = ("teaches", "reviews", "plays")
_OF_LESSON = ("title", "chart", *_OF_SECTIONS)

_Sections = dict[str, tuple[TomlTable, str]]
"""By key of a lesson, the table and the key in it that list the sections."""


def _lessons(rows: Sequence[TomlTable], defaults: Tune) -> tuple[Tune, ...]:
    """Return the lessons in their order, each with what those before it taught of its charts."""
    found: list[Tune] = []
    taught: dict[str, tuple[tuple[str, ...], ...]] = {}
    for number, row in enumerate(rows, 1):
        title = row.text("title", f"Lesson {number}")
        for chart, sections in _charts_of_lesson(row):
            lesson = _section_lesson(number, title, sections, taught.get(chart, ()))
            found.append(replace(_tune(row, defaults, (chart,), _OF_LESSON), lesson=lesson))
            taught[chart] = (*lesson.taught, lesson.teaches)
    return tuple(found)


def _charts_of_lesson(row: TomlTable) -> Iterator[tuple[str, _Sections]]:
    """Yield each chart of a lesson with its sections: one chart and lists, or tables by chart."""
    given = [key for key in _OF_SECTIONS if key in row.values]
    if "chart" in row.values or not any(isinstance(row.values[key], dict) for key in given):
        chart = row.text("chart")
        if not given:
            row.fail("teaches", "must name the sections the lesson teaches")
        yield chart, {key: (row, key) for key in given}
        return
    tables = {key: row.table(key) for key in given}
    for chart in dict.fromkeys(chart for table in tables.values() for chart in table.values):
        yield chart, {key: (table, chart) for key, table in tables.items() if chart in table.values}


def _section_lesson(
    number: int, title: str, sections: _Sections, before: tuple[tuple[str, ...], ...]
) -> SectionLesson:
    """Return what a lesson does with one chart; ``before`` is what was taught of it."""
    named = {key: table.texts(where) for key, (table, where) in sections.items()}
    teaches, reviews = named.get("teaches", ()), named.get("reviews", ())
    plays = named.get("plays", (*reviews, *teaches))
    known = {name for group in before for name in group}
    for key, allowed, words in (
        ("reviews", known, "must have been taught before"),
        ("plays", known | {*teaches}, "must be taught here or before"),
    ):
        for index, name in enumerate(named.get(key, ())):
            if name not in allowed:
                table, where = sections[key]
                table.fail(f"{where}[{index}]", f"{words}, got {short(name)}")
    return SectionLesson(number, title, teaches, reviews, plays, before)


def _tune(
    row: TomlTable, defaults: Tune, charts: tuple[str, ...], own: Sequence[str] = ("charts",)
) -> Tune:
    """Return a tune: the values of a table, over the defaults."""
    extra = () if row.path == "defaults." else own
    row.allow_only((*extra, *_LISTS, *OPTION_ROWS))
    return Tune(
        charts,
        _listed(row, "keys", row.texts, BY_FIELD["key"].kind.convert) or defaults.keys,
        _listed(row, "tempos", row.items, BY_FIELD["tempo_bpm"].kind.convert) or defaults.tempos,
        _mixes(row) if "mixes" in row.values else defaults.mixes,
        _words(row, "formats", ALL) if "formats" in row.values else defaults.formats,
        choices_of(row, defaults.choices, OPTION_ROWS),
        row.flag("pages", defaults.pages),
        tunings=_tunings(row, defaults.tunings),
        drills=_drills(row, defaults.drills),
    )


def _tunings(row: TomlTable, defaults: tuple[str | None, ...]) -> tuple[str | None, ...]:
    """Return the tunings of a table by their own names, each once; one tuning ends the list."""
    if "tunings" not in row.values:
        return () if "tuning" in row.values else defaults
    if "tuning" in row.values:
        row.fail("tunings", "cannot stand beside tuning: name them all in tunings")
    return _listed(row, "tunings", row.texts, lambda text: tuning(str(text)).name)


def _drills(row: TomlTable, default: tuple[str, ...]) -> tuple[str, ...]:
    """Return the kinds of drill that a table lists; none for an empty list."""
    if "drills" not in row.values:
        return default
    return _words(row, "drills", COURSE_DRILLS) if row.values["drills"] != [] else ()


def _listed(
    row: TomlTable,
    key: str,
    read: Callable[[str], Iterable[object]],
    convert: Callable[[object], Any],
) -> tuple[Any, ...]:
    """Return the values of a list, each once; ``None`` stands for "as written"."""
    found: dict[Any, None] = {}
    for index, value in enumerate(read(key) if key in row.values else ()):
        try:
            found[None if value == AS_WRITTEN else convert(value)] = None
        except (OptionError, TuningError) as error:
            row.fail(f"{key}[{index}]", f'{error} (or "{AS_WRITTEN}")')
    return tuple(found)


def _mixes(row: TomlTable) -> tuple[Mix, ...]:
    table = row.table("mixes")
    if not 1 <= len(table.values) <= MAX_LIST:
        row.fail("mixes", f"must name 1 to {MAX_LIST} mixes, each with the parts it leaves out")
    mixes = []
    for name, parts in table.values.items():
        if not isinstance(parts, list) or not all(part in PARTS for part in parts):
            rule = f"must be a list of parts left out ({', '.join(PARTS)})"
            table.fail(name[:60], f"{rule}, got {short(parts)}")
        mixes.append(Mix(name, tuple(dict.fromkeys(parts))))
    return tuple(mixes)


def _words(row: TomlTable, key: str, known: Sequence[str]) -> tuple[str, ...]:
    """Return the words of a list, each of a few."""
    words = row.texts(key)
    for index, text in enumerate(words):
        if text not in known:
            rule = f"must be one of {', '.join(known)}"
            row.fail(f"{key}[{index}]", f"{rule}, got {short(text)}{near_hint(text, known)}")
    return words
