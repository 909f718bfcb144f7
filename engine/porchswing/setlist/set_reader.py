"""Reading a set list from TOML; every error names the file, the key path and what is allowed.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's stand over the defaults. The options are those that act on a sheet or a count.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from porchswing.errors import OptionError, SetListError, cannot_read
from porchswing.option_rows import Option
from porchswing.option_tables import OPTION_ROWS, choices_of
from porchswing.options import BY_FIELD, CHANGES, Choices
from porchswing.toml_table import TomlTable, toml_values

MAX_SET_BYTES = 100_000
MAX_TUNES = 200
MAX_GAP_S = 3600.0
"""Longest pause between two tunes, an hour: an interval."""

OWN_FIELDS = ("lane", "section", "choruses", "count_in_bars", "ritardando")
SET_ROWS: dict[str, Option] = {
    key: row
    for key, row in OPTION_ROWS.items()
    if row.acts_on == CHANGES or row.field in OWN_FIELDS
}
"""The options a set list may set by their key, beside ``key`` and ``tempo``."""

_ALONE = {"key": "key", "tempo": "tempo_bpm"}
"""Keys of a tune that a course writes as lists, and the options they are."""


@dataclass(frozen=True, slots=True)
class SetTune:
    """One tune of a set: the path of its ``chart`` relative to the set list, how it is played.

    ``note`` is what to remember, printed beside it.
    """

    chart: str
    choices: Choices
    note: str = ""


@dataclass(frozen=True, slots=True)
class SetList:
    """A set list: its tunes in playing order, ``gap_s`` seconds from each to the next."""

    title: str
    file: str
    tunes: tuple[SetTune, ...]
    gap_s: float = 0.0


def read_set(path: Path) -> SetList:
    """Read a set list's file."""
    if path.suffix == ".changes":
        raise SetListError(f"{path} is a chart; a set list is a TOML file that names charts")
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_SET_BYTES + 1)
        text = raw.decode("utf-8")
    except (OSError, ValueError) as error:  # ValueError: not UTF-8, or a name that is no path
        raise SetListError(cannot_read("", path, error)) from error
    return parse_set(text, str(path))


def parse_set(text: str, file: str = "<set list>") -> SetList:
    r"""Read a set list from its text.

    >>> found = parse_set('title = "Porch"\n[[tune]]\nchart = "a.changes"\ntempo = 96')
    >>> found.tunes[0].choices.style.tempo_bpm
    96.0
    """
    if len(text.encode("utf-8", "surrogatepass")) > MAX_SET_BYTES:
        raise SetListError(f"{file}: a set list is at most {MAX_SET_BYTES} bytes")
    top = TomlTable(file, toml_values(text, file, SetListError), SetListError)
    top.allow_only(("title", "gap_s", "defaults", "tune"))
    usual = _choices(top.table("defaults"), Choices(), ())
    tunes = []
    for row in top.tables("tune", MAX_TUNES):
        choices = _choices(row, usual, ("chart", "note"))
        note = row.text("note") if "note" in row.values else ""
        tunes.append(SetTune(row.text("chart"), choices, note))
    title = top.text("title", Path(file).stem)
    return SetList(title, file, tuple(tunes), top.number("gap_s", 0, MAX_GAP_S, 0.0))


def _choices(row: TomlTable, defaults: Choices, own: tuple[str, ...]) -> Choices:
    row.allow_only((*own, *_ALONE, *SET_ROWS))
    asked: dict[str, Any] = {}
    for key, field in _ALONE.items():
        if key in row.values:
            try:
                asked[field] = BY_FIELD[field].kind.convert(row.values[key])
            except OptionError as error:
                row.fail(key, str(error))
    return choices_of(row, defaults.with_values(asked), SET_ROWS)
