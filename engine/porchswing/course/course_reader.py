"""Reading a course from TOML; every error names the file, the key path and what is allowed.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's stand over the defaults. The options are those of ``porchswing render``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from porchswing.course.course_model import (
    AS_WRITTEN,
    COURSE_DRILLS,
    Course,
    Mix,
    SectionLesson,
    Tune,
)
from porchswing.errors import CourseError, OptionError, TuningError, cannot_read, near_hint
from porchswing.file_formats import ALL
from porchswing.grips.shapes.tunings import tuning
from porchswing.option_kinds import Kind
from porchswing.option_tables import OPTION_ROWS, choices_of
from porchswing.options import BY_FIELD, PARTS
from porchswing.toml_table import MAX_LIST, TomlTable, short, toml_values

MAX_COURSE_BYTES = 1_000_000
MAX_TUNES = 20_000

_LISTS = ("tunings", "keys", "tempos", "mixes", "formats", "pages", "drills")


def read_course(path: Path) -> Course:
    """Read a course file."""
    if path.suffix == ".changes":
        raise CourseError(f"{path} is a chart; a course is a TOML file that names charts")
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_COURSE_BYTES + 1)
        text = raw.decode("utf-8")
    except (OSError, ValueError) as error:  # ValueError: not UTF-8, or a name that is no path
        raise CourseError(cannot_read("", path, error)) from error
    return parse_course(text, str(path))


def parse_course(text: str, file: str = "<course>") -> Course:
    """Read a course from its text; raise :class:`~porchswing.errors.CourseError` where it errs."""
    if len(text.encode("utf-8", "surrogatepass")) > MAX_COURSE_BYTES:
        raise CourseError(f"{file}: a course is at most {MAX_COURSE_BYTES} bytes")
    top = TomlTable(file, toml_values(text, file, CourseError), CourseError)
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
    """Return a tune: what a table says, over the defaults."""
    extra = () if row.path == "defaults." else own
    row.allow_only((*extra, *_LISTS, *OPTION_ROWS))
    return Tune(
        charts,
        _keys(row) if "keys" in row.values else defaults.keys,
        _tempos(row) if "tempos" in row.values else defaults.tempos,
        _mixes(row) if "mixes" in row.values else defaults.mixes,
        _formats(row) if "formats" in row.values else defaults.formats,
        choices_of(row, defaults.choices),
        _pages(row, defaults.pages),
        tunings=_tunings(row, defaults.tunings),
        drills=_drills(row) if "drills" in row.values else defaults.drills,
    )


def _tunings(row: TomlTable, defaults: tuple[str | None, ...]) -> tuple[str | None, ...]:
    """Return the tunings of a table by their own names, each once; one tuning ends the list."""
    if "tunings" not in row.values:
        return () if "tuning" in row.values else defaults
    if "tuning" in row.values:
        row.fail("tunings", "cannot stand beside tuning: name them all in tunings")
    found: dict[str | None, None] = {}
    for index, text in enumerate(row.texts("tunings")):
        try:
            found[None if text == AS_WRITTEN else tuning(text).name] = None
        except TuningError as error:
            row.fail(f"tunings[{index}]", f'{error} (or "{AS_WRITTEN}")')
    return tuple(found)


def _drills(row: TomlTable) -> tuple[str, ...]:
    """Return the kinds of drill that a table lists; none for an empty list."""
    if row.values["drills"] == []:
        return ()
    kinds = row.texts("drills")
    for index, text in enumerate(kinds):
        if text not in COURSE_DRILLS:
            row.fail(
                f"drills[{index}]", f"must be of {', '.join(COURSE_DRILLS)}, got {short(text)}"
            )
    return tuple(dict.fromkeys(kinds))


def _pages(row: TomlTable, default: bool) -> bool:
    value = row.values.get("pages", default)
    if not isinstance(value, bool):
        row.fail("pages", f"must be true or false, got {short(value)}")
    return value


def _keys(row: TomlTable) -> tuple[str | None, ...]:
    return _listed(row, "keys", BY_FIELD["key"].kind, row.texts("keys"))


def _tempos(row: TomlTable) -> tuple[float | str | None, ...]:
    return _listed(row, "tempos", BY_FIELD["tempo_bpm"].kind, row.items("tempos"))


def _listed(row: TomlTable, key: str, kind: Kind, values: Sequence[object]) -> tuple[Any, ...]:
    """Return the values of a list, each once; ``None`` stands for "as written"."""
    found: dict[Any, None] = {}
    for index, value in enumerate(values):
        try:
            found[None if value == AS_WRITTEN else kind.convert(value)] = None
        except OptionError as error:
            row.fail(f"{key}[{index}]", f'{error} (or "{AS_WRITTEN}")')
    return tuple(found)


def _mixes(row: TomlTable) -> tuple[Mix, ...]:
    table = row.table("mixes")
    if not 1 <= len(table.values) <= MAX_LIST:
        row.fail("mixes", f"must name 1 to {MAX_LIST} mixes, each with the parts it leaves out")
    mixes = []
    for name, parts in table.values.items():
        if not isinstance(parts, list) or not all(part in PARTS for part in parts):
            known = ", ".join(PARTS)
            table.fail(name[:60], f"must be a list of parts left out ({known}), got {short(parts)}")
        mixes.append(Mix(name, tuple(dict.fromkeys(parts))))
    return tuple(mixes)


def _formats(row: TomlTable) -> tuple[str, ...]:
    formats = row.texts("formats")
    for index, text in enumerate(formats):
        if text not in ALL:
            hint = near_hint(text, ALL)
            row.fail(f"formats[{index}]", f"must be of {', '.join(ALL)}, got {short(text)}{hint}")
    return formats
