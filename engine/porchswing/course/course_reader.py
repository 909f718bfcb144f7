"""Reading a course from TOML; every error names the file, the key path and what is allowed.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's stand over the defaults. The options are those of ``porchswing render``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NoReturn

from porchswing.course.course_model import AS_WRITTEN, Course, Mix, Tune
from porchswing.errors import CourseError, OptionError
from porchswing.file_formats import ALL
from porchswing.option_kinds import Kind
from porchswing.options import BY_FIELD, OPTIONS, PARTS, Choices, Option

MAX_COURSE_BYTES = 1_000_000
MAX_TUNES = 20_000
MAX_LIST = 200
"""Most keys, tempos, mixes or chart globs in one list."""

OPTION_ROWS: dict[str, Option] = {row.key: row for row in OPTIONS if row.in_course}
"""The options a course may set by their key, beside the lists below."""

_LISTS = ("keys", "tempos", "mixes", "formats")


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
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise CourseError(f"{file}: not TOML: {error}") from error
    top = _Table(file, "", table)
    top.allow_only(("title", "defaults", "tune"))
    defaults = _tune(top.table("defaults"), Tune(()), ())
    rows = top.tables("tune", MAX_TUNES)
    tunes = tuple(_tune(row, defaults, row.texts("charts")) for row in rows)
    return Course(top.text("title", Path(file).stem), file, tunes)


@dataclass(frozen=True, slots=True)
class _Table:
    """One table of the file with its key path, for errors."""

    file: str
    path: str
    values: Mapping[str, Any]

    def fail(self, key: str, message: str) -> NoReturn:
        raise CourseError(f"{self.file}: {self.path}{key} {message}")

    def allow_only(self, known: tuple[str, ...]) -> None:
        for key in self.values:
            if key not in known:
                near = get_close_matches(key, known, n=1)
                hint = f"did you mean {near[0]}?" if near else f"known: {', '.join(known)}"
                self.fail(key[:60], f"is not a known key; {hint}")

    def table(self, key: str) -> _Table:
        value = self.values.get(key, {})
        if not isinstance(value, dict):
            self.fail(key, f"must be a table, got {_short(value)}")
        return _Table(self.file, f"{self.path}{key}.", value)

    def tables(self, key: str, most: int) -> list[_Table]:
        value = self.values.get(key)
        if not isinstance(value, list) or not value:
            self.fail(key, f"is missing: write [[{key}]] at least once")
        if len(value) > most:
            self.fail(key, f"may stand at most {most} times, got {len(value)}")
        for index, row in enumerate(value):
            if not isinstance(row, dict):
                self.fail(f"{key}[{index}]", f"must be a table, got {_short(row)}")
        return [_Table(self.file, f"{key}[{index}].", row) for index, row in enumerate(value)]

    def text(self, key: str, default: str | None = None) -> str:
        value = self.values.get(key, default)
        if not isinstance(value, str) or not value.strip() or len(value) > 1000:
            self.fail(key, f"must be a text, got {_short(value)}")
        return value

    def items(self, key: str) -> list[Any]:
        value = self.values.get(key)
        if not isinstance(value, list) or not 1 <= len(value) <= MAX_LIST:
            self.fail(key, f"must be a list of 1 to {MAX_LIST}, got {_short(value)}")
        return list(value)

    def texts(self, key: str) -> tuple[str, ...]:
        values = self.items(key)
        for index, value in enumerate(values):
            if not isinstance(value, str) or not value.strip() or "\0" in value:
                self.fail(f"{key}[{index}]", f"must be a text, got {_short(value)}")
        return tuple(dict.fromkeys(values))

    def number(self, key: str, low: float, high: float, *, whole: bool) -> float:
        value = self.values[key]
        kind = int if whole else int | float
        if isinstance(value, bool) or not isinstance(value, kind) or not low <= value <= high:
            word = "a whole number" if whole else "a number"
            self.fail(key, f"must be {word} from {low:g} to {high:g}, got {_short(value)}")
        return int(value) if whole else float(value)


def _tune(row: _Table, defaults: Tune, charts: tuple[str, ...]) -> Tune:
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
    )


def _keys(row: _Table) -> tuple[str | None, ...]:
    return _listed(row, "keys", BY_FIELD["key"].kind, row.texts("keys"))


def _tempos(row: _Table) -> tuple[float | str | None, ...]:
    return _listed(row, "tempos", BY_FIELD["tempo_bpm"].kind, row.items("tempos"))


def _listed(row: _Table, key: str, kind: Kind, values: Sequence[object]) -> tuple[Any, ...]:
    """Return the values of a list, each once; ``None`` stands for "as written"."""
    found: dict[Any, None] = {}
    for index, value in enumerate(values):
        try:
            found[None if value == AS_WRITTEN else kind.convert(value)] = None
        except OptionError as error:
            row.fail(f"{key}[{index}]", f'{error} (or "{AS_WRITTEN}")')
    return tuple(found)


def _mixes(row: _Table) -> tuple[Mix, ...]:
    table = row.table("mixes")
    if not 1 <= len(table.values) <= MAX_LIST:
        row.fail("mixes", f"must name 1 to {MAX_LIST} mixes, each with the parts it leaves out")
    mixes = []
    for name, parts in table.values.items():
        if not isinstance(parts, list) or not all(part in PARTS for part in parts):
            known = ", ".join(PARTS)
            table.fail(
                name[:60], f"must be a list of parts left out ({known}), got {_short(parts)}"
            )
        mixes.append(Mix(name, tuple(dict.fromkeys(parts))))
    return tuple(mixes)


def _formats(row: _Table) -> tuple[str, ...]:
    formats = row.texts("formats")
    for index, text in enumerate(formats):
        if text not in ALL:
            row.fail(f"formats[{index}]", f"must be of {', '.join(ALL)}, got {_short(text)}")
    return formats


def _choices(row: _Table, defaults: Choices) -> Choices:
    """Return the choices that a table states, over the defaults."""
    chosen: dict[str, Any] = {}
    for key, option in OPTION_ROWS.items():
        if key in row.values:
            try:
                chosen[option.field] = option.kind.convert(row.values[key])
            except (OptionError, OverflowError) as error:
                row.fail(key, str(error))
    return defaults.with_values(chosen)


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
