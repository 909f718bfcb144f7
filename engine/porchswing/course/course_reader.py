"""Reading a course from TOML; every error names the file, the key path and what is allowed.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's stand over the defaults. The options are those of ``porchswing render``.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from porchswing.course.course_model import AS_WRITTEN, Course, Mix, Tune
from porchswing.errors import CourseError, OptionError
from porchswing.file_formats import ALL
from porchswing.option_kinds import Kind
from porchswing.option_rows import Option
from porchswing.options import BY_FIELD, OPTIONS, PARTS, Choices
from porchswing.toml_table import MAX_LIST, TomlTable, short, toml_values

MAX_COURSE_BYTES = 1_000_000
MAX_TUNES = 20_000

OPTION_ROWS: dict[str, Option] = {row.key: row for row in OPTIONS if row.in_course}
"""The options a course may set by their key, beside the lists below."""

_LISTS = ("keys", "tempos", "mixes", "formats", "pages")


def read_course(path: Path) -> Course:
    """Read a course file."""
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_COURSE_BYTES + 1)
        text = raw.decode("utf-8")
    except (OSError, ValueError) as error:  # ValueError: not UTF-8, or a name that is no path
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise CourseError(f"cannot read {path}: {reason}") from error
    return parse_course(text, str(path))


def parse_course(text: str, file: str = "<course>") -> Course:
    """Read a course from its text; raise :class:`~porchswing.errors.CourseError` where it errs."""
    if len(text.encode("utf-8", "surrogatepass")) > MAX_COURSE_BYTES:
        raise CourseError(f"{file}: a course is at most {MAX_COURSE_BYTES} bytes")
    top = TomlTable(file, toml_values(text, file, CourseError), CourseError)
    top.allow_only(("title", "defaults", "tune"))
    defaults = _tune(top.table("defaults"), Tune(()), ())
    rows = top.tables("tune", MAX_TUNES)
    tunes = tuple(_tune(row, defaults, row.texts("charts")) for row in rows)
    return Course(top.text("title", Path(file).stem), file, tunes)


def _tune(row: TomlTable, defaults: Tune, charts: tuple[str, ...]) -> Tune:
    """Return a tune: what a table says, over the defaults."""
    extra = () if row.path == "defaults." else ("charts",)
    row.allow_only((*extra, *_LISTS, *OPTION_ROWS))
    return Tune(
        charts,
        _keys(row) if "keys" in row.values else defaults.keys,
        _tempos(row) if "tempos" in row.values else defaults.tempos,
        _mixes(row) if "mixes" in row.values else defaults.mixes,
        _formats(row) if "formats" in row.values else defaults.formats,
        _choices(row, defaults.choices),
        _pages(row, defaults.pages),
    )


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
            row.fail(f"formats[{index}]", f"must be of {', '.join(ALL)}, got {short(text)}")
    return formats


def _choices(row: TomlTable, defaults: Choices) -> Choices:
    """Return the choices that a table states, over the defaults."""
    chosen: dict[str, Any] = {}
    for key, option in OPTION_ROWS.items():
        if key in row.values:
            try:
                chosen[option.field] = option.kind.convert(row.values[key])
            except (OptionError, OverflowError) as error:
                row.fail(key, str(error))
    return defaults.with_values(chosen)
