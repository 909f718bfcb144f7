"""A plain chord sheet: one lane, section by section, four bars to a line, on one page."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from importlib import resources
from itertools import chain, zip_longest
from typing import Any, Literal

from porchswing.chart.model import Bar, Chart, Section
from porchswing.chart.sung_text import BeatCell, sung_cells, sung_text
from porchswing.chart.unroll import LAST_TIME, form_of, is_last_time, section_title
from porchswing.errors import OptionError
from porchswing.harmony.choice.lead import Lead
from porchswing.pages.typesetting import NOTICE, STAND_IN, paper_name, printable, typeset
from porchswing.theory.notes import with_signs

BARS_A_LINE = 4
SIZES_PT = (16.0, 14.0, 12.0, 10.5, 9.0, 8.0, 7.0, 6.0, 5.0)
"""Sizes of the chords, largest first; the first that fits one page is taken."""


@dataclass(frozen=True, slots=True)
class SungBar:
    """A bar of a song by beat: its chords, and under them each verse."""

    chords: tuple[BeatCell, ...]
    verses: tuple[tuple[BeatCell, ...], ...]


@dataclass(frozen=True, slots=True)
class ChordSection:
    """A section's name and its lines of bars, each bar its chords in words.

    ``words`` has for each line its verses, each the text sung in every bar, and ``sung`` the same
    by beat; both are empty without words.
    """

    name: str
    lines: tuple[tuple[str, ...], ...]
    words: tuple[tuple[tuple[str, ...], ...], ...] = ()
    sung: tuple[tuple[SungBar, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class ChordSheet:
    """What a chord sheet shows."""

    title: str
    facts: str
    form: str
    sections: tuple[ChordSection, ...]


def chord_sheet(lead: Lead | Chart, lane: str) -> ChordSheet:
    """Return the chord sheet of one lane of a tune."""
    chart = lead if isinstance(lead, Chart) else lead.chart
    key = f"{chart.key.tonic} {chart.key.mode}"
    facts = (chart.by, key, str(chart.meter), f"{chart.tempo_bpm:g} bpm")
    rows = []
    for section in chart.sections:
        bars = section.lane(lane)
        names = [
            ["N.C." if slot.chord is None else str(slot.chord) for slot in b.slots] for b in bars
        ]
        words = [_bar(*each) for each in zip(bars, names, strict=True)]
        title = section_title(chart, section.name)
        rows.append(sheet_section(title, section, bars, words, names))
    return ChordSheet(chart.title, ", ".join(filter(None, facts)), _form(chart), tuple(rows))


def sheet_section(
    title: str,
    section: Section,
    bars: Sequence[Bar],
    words: Sequence[str],
    names: Sequence[Sequence[str]],
) -> ChordSection:
    """Return a section of a sheet: each bar in words, and what is sung under them.

    ``names`` are what stands for every chord of every bar where words are sung.
    """
    sung = sung_lines(section)
    by_beat = _sung_bars(bars, section, names) if sung else ()
    return ChordSection(title, in_lines(words, section), sung, by_beat)


def _form(chart: Chart) -> str:
    """Return the sections from intro to ending in one line; nothing where all is in file order.

    A section for the last time has its own heading; the form names the usual one.
    """
    last = {each.name for each in chart.sections if is_last_time(chart, each.name)}
    names = [name.removesuffix(LAST_TIME) if name in last else name for name in form_of(chart)]
    played = [name for name in (chart.intro, *names, chart.ending) if name]
    in_file = [section.name for section in chart.sections if section.name not in last]
    return "" if played == in_file else " ".join(played)


def in_lines(words: Sequence[str], section: Section) -> tuple[tuple[str, ...], ...]:
    """Return a section's bars in words, with the repeats of its plain lane, four to a line."""
    bars = [_with_repeats(*each) for each in zip(words, section.plain, strict=True)]
    return tuple(tuple(bars[at : at + BARS_A_LINE]) for at in range(0, len(bars), BARS_A_LINE))


def sung_lines(section: Section) -> tuple[tuple[tuple[str, ...], ...], ...]:
    """Return the words under each line of bars, verse by verse; verses without any are left out."""
    verses = [[sung_text(bar) for bar in verse] for verse in section.words]
    starts = range(0, len(section.plain), BARS_A_LINE)
    lines = [[tuple(verse[at : at + BARS_A_LINE]) for verse in verses] for at in starts]
    found = tuple(tuple(row for row in line if any(row)) for line in lines)
    return found if any(found) else ()


def _sung_bars(
    bars: Sequence[Bar], section: Section, named: Sequence[Sequence[str]]
) -> tuple[tuple[SungBar, ...], ...]:
    """Return the bars of a song by beat, four to a line, with the repeats of its plain lane."""
    found = []
    for at, (bar, plain) in enumerate(zip(bars, section.plain, strict=True)):
        names = list(named[at])
        before, _, after = _with_repeats("\0", plain).partition("\0")
        names[0], names[-1] = before + names[0], names[-1] + after
        chords = tuple(map(BeatCell, names, (float(slot.beats) for slot in bar.slots)))
        verses = tuple(sung_cells(verse[at], bar.beats) for verse in section.words)
        found.append(SungBar(chords, verses))
    return tuple(tuple(found[at : at + BARS_A_LINE]) for at in range(0, len(found), BARS_A_LINE))


def _with_repeats(words: str, bar: Bar) -> str:
    """Return a bar in words between its repeat signs, behind the number of its ending."""
    ending = "" if bar.ending is None else f"{bar.ending}. "
    times = f"x{bar.repeat_times}" if bar.repeat_times > 2 else ""
    end = f" :|{times}" if bar.repeat_times else ""
    return f"{'|: ' if bar.repeat_start else ''}{ending}{words}{end}"


def _bar(bar: Bar, names: Sequence[str]) -> str:
    """Return a bar's chords, with a slash for each further beat where they are uneven."""
    beats = [slot.beats for slot in bar.slots]
    if len(set(beats)) == 1:
        return " ".join(names)
    return " ".join(name + " /" * (int(own) - 1) for name, own in zip(names, beats, strict=True))


def sheet_text(sheet: ChordSheet) -> str:
    """Return a chord sheet as text, its bars below each other."""
    lines = [sheet.title, sheet.facts]
    if sheet.form:
        lines.append(f"form: {sheet.form}")
    for section in sheet.sections:
        lines += ["", f"[{section.name}]", *_table(section.lines, section.words)]
    return "\n".join(lines) + "\n"


def _table(
    rows: Sequence[Sequence[str]], words: Sequence[Sequence[Sequence[str]]] = ()
) -> list[str]:
    """Return lines of bars below each other, what is sung under each of them."""
    columns = zip_longest(*rows, *chain.from_iterable(words), fillvalue="")
    widths = [max(map(len, column)) for column in columns]
    found: list[str] = []
    for index, row in enumerate(rows):
        line = f"| {' | '.join(word.ljust(widths[at]) for at, word in enumerate(row))} |"
        found.append(line.replace("| |:", "|:  ").replace(":| |", ":|  ").rstrip())
        for verse in words[index] if words else ():
            text = "   ".join(word.ljust(widths[at]) for at, word in enumerate(verse))
            found.append(f"  {text}".rstrip())
    return found


def sheet_pdf(sheet: ChordSheet, paper: str = "a4") -> bytes:
    """Return a chord sheet as a PDF of one page, as large as it fits."""
    return sheets_pdf([sheet], paper, sheet.title)


def sheets_pdf(
    sheets: Sequence[ChordSheet], paper: str, title: str, order: Sequence[Sequence[str]] = ()
) -> bytes:
    """Return chord sheets as one PDF, a page each, as large as it fits.

    ``order`` is a table for a first page under the title: its head, then a row a sheet, then
    what is under all of them.
    """
    pages = [_page(sheet, _size_pt(sheet, paper)) for sheet in sheets]
    shown = {"title": with_signs(title), "order": _printed(order), "sheets": pages}
    return _set_as("pdf", shown, paper)[0]


def _size_pt(sheet: ChordSheet, paper: str) -> float:
    """Return the largest size at which a sheet is one page."""
    for size_pt in SIZES_PT:
        shown = {"title": "", "order": (), "sheets": [_page(sheet, size_pt)]}
        if len(_set_as("svg", shown, paper)) == 1:
            return size_pt
    raise OptionError(f"{sheet.title} does not fit one page; ask for --section or write text")


def _page(sheet: ChordSheet, size_pt: float) -> dict[str, Any]:
    """Return what the typesetter is given of a sheet."""
    shown = _printed(asdict(sheet))
    sung = json.dumps([section["sung"] for section in shown["sections"]], ensure_ascii=False)
    return {**shown, "size": size_pt, "notice": NOTICE if STAND_IN in sung else ""}


def _printed(facts: Any) -> Any:
    """Return facts as print shows them: flats and sharps as signs, but no letter of sung words."""
    if isinstance(facts, str):
        return with_signs(facts)
    if isinstance(facts, dict):
        return {
            name: printable(each) if name == "verses" else _printed(each)
            for name, each in facts.items()
        }
    return [_printed(each) for each in facts] if isinstance(facts, list | tuple) else facts


def _set_as(form: Literal["pdf", "svg"], shown: dict[str, Any], paper: str) -> list[bytes]:
    """Return some sheets as the typesetter sets them, page by page; a PDF is one piece."""
    layout = resources.files(__package__) / "chord_sheet.typ"
    return typeset(layout, form, {**shown, "paper": paper_name(paper)}, "a sheet as PDF")
