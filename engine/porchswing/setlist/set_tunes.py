"""From a set list to what is printed of it: every tune's facts, count, length and sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from porchswing.chart.language.reader import read_chart
from porchswing.errors import SetListError, near_file
from porchswing.pages.chord_sheet.chord_sheet import ChordSheet, chord_sheet
from porchswing.pages.set_list.set_page import PageTune
from porchswing.setlist.set_reader import SetList, SetTune
from porchswing.take import lead_of, take_from_chart
from porchswing.units import clock

HEAD = ("", "tune", "key", "tempo", "times", "counted", "length")


def planned_tunes(found: SetList) -> tuple[PageTune, ...]:
    """Return the tunes of a set with their facts; charts are read beside the set list."""
    folder = Path(found.file).parent
    for index, tune in enumerate(found.tunes):
        path = folder / tune.chart
        if not path.is_file():
            where = f"{found.file}: tune[{index}].chart: no file {path}"
            hints = filter(None, [where, near_file(path, FileNotFoundError())])
            raise SetListError("; ".join(hints))
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
    """Return the table of the first page: its head, a row a tune, what stands under it."""
    rows = [
        (
            f"{number}",
            f"{tune.title}\n{tune.note}".strip(),
            tune.key,
            f"{tune.tempo_bpm:g}",
            f"{tune.choruses}",
            tune.counted or "none",
            clock(tune.duration_s),
        )
        for number, tune in enumerate(tunes, 1)
    ]
    under = f"{total_words(found, tunes)}. Tempo in felt beats a minute."
    return [HEAD, *rows, (under,)]


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
