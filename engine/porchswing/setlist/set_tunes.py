"""From a set list to what is printed of it: every tune's facts, count, length and sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from porchswing.chart.language.reader import read_chart
from porchswing.errors import SetListError, near_file
from porchswing.pages.chord_sheet.chord_sheet import ChordSheet, chord_sheet
from porchswing.pages.set_list.set_page import PageTune, clock
from porchswing.setlist.set_reader import SetList, SetTune
from porchswing.take import lead_of, take_from_chart

HEAD = ("", "tune", "key", "tempo", "times", "counted", "length")


@dataclass(frozen=True, slots=True)
class PlannedTune:
    """One tune of a set with its facts; ``counts`` pairs each number counted with its moment."""

    title: str
    key: str
    meter: str
    tempo_bpm: float
    choruses: int
    duration_s: float
    counts: tuple[tuple[str, float], ...]
    note: str
    sheet: ChordSheet

    @property
    def counted(self) -> str:
        """The count in words, a stroke between its bars: ``1 2 | 1 2 3 4``."""
        words: list[str] = []
        for number, _ in self.counts:
            words += ["|", number] if words and number == "1" else [number]
        return " ".join(words)


def planned_tunes(found: SetList) -> tuple[PlannedTune, ...]:
    """Return the tunes of a set with their facts; charts are read beside the set list."""
    folder = Path(found.file).parent
    for index, tune in enumerate(found.tunes):
        path = folder / tune.chart
        if not path.is_file():
            where = f"{found.file}: tune[{index}].chart: no file {path}"
            hints = filter(None, [where, near_file(path, FileNotFoundError())])
            raise SetListError("; ".join(hints))
    return tuple(_planned(tune, folder) for tune in found.tunes)


def _planned(tune: SetTune, folder: Path) -> PlannedTune:
    chart = read_chart(folder / tune.chart)
    take = take_from_chart(chart, tune.choices)
    lead = lead_of(chart, tune.choices)
    return PlannedTune(
        lead.chart.title,
        str(lead.chart.key),
        str(lead.chart.meter),
        take.tempo_bpm,
        tune.choices.choruses,
        take.performance.end_s,
        tuple(
            (mark.text, mark.seconds)
            for mark in take.performance.marks
            if mark.kind == "count" and mark.seconds < take.performance.music_start_s
        ),
        tune.note,
        chord_sheet(lead, tune.choices.lane),
    )


def total_s(found: SetList, tunes: Iterable[PlannedTune]) -> float:
    """Return how long a set takes, the pauses between its tunes included."""
    lengths = [tune.duration_s for tune in tunes]
    return sum(lengths) + found.gap_s * (len(lengths) - 1)


def total_words(found: SetList, tunes: tuple[PlannedTune, ...]) -> str:
    """Return in words how long a set takes."""
    words = f"{len(tunes)} tunes, {clock(total_s(found, tunes))} in all"
    return f"{words}, {found.gap_s:g} s from each to the next" if found.gap_s else words


def order_rows(found: SetList, tunes: tuple[PlannedTune, ...]) -> list[tuple[str, ...]]:
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


def numbered_sheets(tunes: tuple[PlannedTune, ...]) -> list[ChordSheet]:
    """Return every tune's sheet under its number, with how often it is played and its count."""
    return [
        replace(
            tune.sheet,
            title=f"{number}. {tune.title}",
            facts=f"{facts(tune)}{f'; {tune.note}' if tune.note else ''}",
        )
        for number, tune in enumerate(tunes, 1)
    ]


def facts(tune: PlannedTune) -> str:
    """Return the facts of a tune in one line."""
    return f"{tune.key}, {pace(tune)}, {way(tune)}"


def pace(tune: PlannedTune) -> str:
    """Return meter and tempo."""
    return f"{tune.meter}, {tune.tempo_bpm:g} bpm"


def way(tune: PlannedTune) -> str:
    """Return how often a tune is played, how long that takes and how it is counted in."""
    times = "once" if tune.choruses == 1 else f"{tune.choruses} times"
    counted = f", counted {tune.counted}" if tune.counted else ""
    return f"{times}, {clock(tune.duration_s)}{counted}"


def page_tunes(tunes: tuple[PlannedTune, ...]) -> list[PageTune]:
    """Return the tunes as the stand view shows them."""
    return [
        PageTune(
            tune.title,
            tune.key,
            pace(tune),
            way(tune),
            tune.note,
            tune.counts,
            clock(tune.duration_s),
            tune.sheet,
        )
        for tune in tunes
    ]
