"""A set list: tunes in an order, with keys, tempos and choruses, for paper and for the stand.

Format: TOML 1.0 as Python's ``tomllib`` reads it. ``[defaults]`` and each ``[[tune]]`` take the
same keys; a tune's override the defaults. The options are those that act on a sheet or a count.
Every error names the file, the key path and what is allowed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from porchswing.chart.language.reader import read_chart
from porchswing.errors import SetListError, near_file
from porchswing.option_rows import Option
from porchswing.options import CHANGES, OPTIONS, Choices, choices_of
from porchswing.pages.chord_sheet.chord_sheet import ChordSheet, chord_sheet
from porchswing.pages.set_page import PageTune
from porchswing.take import lead_of, take_from_chart
from porchswing.toml_table import TomlTable, read_toml, top_table
from porchswing.units import clock

MAX_SET_BYTES = 100_000
MAX_TUNES = 200
MAX_GAP_S = 3600.0
"""Longest pause between two tunes, an hour: an interval."""

OWN_FIELDS = ("tempo_bpm", "lane", "section", "choruses", "count_in_bars", "ritardando")
SET_ROWS: dict[str, Option] = {
    row.key: row for row in OPTIONS if row.acts_on == CHANGES or row.field in OWN_FIELDS
}
"""The options a set list may set by their key."""

HEAD = ("", "tune", "key", "tempo", "times", "counted", "length")
"""Head of the table on the first page."""


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


def planned_tunes(found: SetList) -> tuple[PageTune, ...]:
    """Return the tunes of a set with their facts; charts are read beside the set list."""
    folder = Path(found.file).parent
    for index, tune in enumerate(found.tunes):
        path = folder / tune.chart
        if not path.is_file():
            where = f"{found.file}: tune[{index}].chart: no file {path}"
            hint = near_file(path, FileNotFoundError())
            raise SetListError(f"{where}; {hint}" if hint else where)
    return tuple(_planned(tune, folder) for tune in found.tunes)


def _planned(tune: SetTune, folder: Path) -> PageTune:
    chart = read_chart(folder / tune.chart)
    take = take_from_chart(chart, tune.choices)
    lead = lead_of(chart, tune.choices)
    return PageTune(
        lead.chart.title,
        str(lead.chart.key),
        str(lead.chart.meter),
        take.tempo_bpm,
        tune.choices.choruses,
        take.performance.end_s,
        tuple((mark.text, mark.seconds) for mark in take.performance.count_in_marks),
        tune.note,
        chord_sheet(lead, tune.choices.lane),
    )


def total_s(found: SetList, tunes: Iterable[PageTune]) -> float:
    """Return how long a set takes, the pauses between its tunes included."""
    lengths = [tune.duration_s for tune in tunes]
    return sum(lengths) + found.gap_s * (len(lengths) - 1)


def total_words(found: SetList, tunes: tuple[PageTune, ...]) -> str:
    """Return in words how long a set takes."""
    words = f"{len(tunes)} tunes, {clock(total_s(found, tunes))} in all"
    return f"{words}, {found.gap_s:g} s from each to the next" if found.gap_s else words


def order_rows(found: SetList, tunes: tuple[PageTune, ...]) -> list[tuple[str, ...]]:
    """Return the table of the first page: its head, a row a tune, the line under it."""
    rows = [
        (
            f"{number}",
            f"{tune.title}\n{tune.note}".strip(),
            tune.key,
            f"{tune.tempo_bpm:.0f}",
            f"{tune.choruses}",
            tune.counted or "none",
            clock(tune.duration_s),
        )
        for number, tune in enumerate(tunes, 1)
    ]
    return [HEAD, *rows, (f"{total_words(found, tunes)}. Tempo in felt beats a minute.",)]


def numbered_sheets(tunes: tuple[PageTune, ...]) -> list[ChordSheet]:
    """Return every tune's sheet under its number, with how often it is played and its count."""
    return [
        replace(
            tune.sheet,
            title=f"{number}. {tune.title}",
            facts=f"{tune.key}, {tune.pace}, {tune.way}{f'; {tune.note}' if tune.note else ''}",
        )
        for number, tune in enumerate(tunes, 1)
    ]
