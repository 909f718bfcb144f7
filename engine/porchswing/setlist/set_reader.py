"""Reading a set list from TOML; every error names the file, the key path and what is allowed.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's stand over the defaults. The options are those that act on a sheet or a count.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from porchswing.errors import SetListError
from porchswing.option_rows import Option
from porchswing.options import CHANGES, OPTIONS, Choices, choices_of
from porchswing.toml_table import TomlTable, read_toml, top_table

MAX_SET_BYTES = 100_000
MAX_TUNES = 200
MAX_GAP_S = 3600.0
"""Longest pause between two tunes, an hour: an interval."""

OWN_FIELDS = ("tempo_bpm", "lane", "section", "choruses", "count_in_bars", "ritardando")
SET_ROWS: dict[str, Option] = {
    row.key: row for row in OPTIONS if row.acts_on == CHANGES or row.field in OWN_FIELDS
}
"""The options a set list may set by their key."""


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
    return parse_set(read_toml(path, "a set list", MAX_SET_BYTES, SetListError), str(path))


def parse_set(text: str, file: str = "<set list>") -> SetList:
    r"""Read a set list from its text.

    >>> found = parse_set('title = "Porch"\n[[tune]]\nchart = "a.changes"\ntempo = 96')
    >>> found.tunes[0].choices.style.tempo_bpm
    96.0
    """
    top = top_table(text, file, "a set list", MAX_SET_BYTES, SetListError)
    top.allow_only(("title", "gap_s", "defaults", "tune"))
    usual = _choices(top.table("defaults"), Choices(), ())
    tunes = []
    for row in top.tables("tune", MAX_TUNES):
        choices = _choices(row, usual, ("chart", "note"))
        note = row.text("note") if "note" in row.values else ""
        tunes.append(SetTune(row.text("chart"), choices, note))
    gap_s = top.number("gap_s", 0, MAX_GAP_S, 0.0)
    return SetList(top.text("title", Path(file).stem), file, tuple(tunes), gap_s)


def _choices(row: TomlTable, defaults: Choices, own: tuple[str, ...]) -> Choices:
    row.allow_only((*own, *SET_ROWS))
    return choices_of(row, defaults, SET_ROWS)
