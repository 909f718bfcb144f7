"""Words for a lead: both lanes in aligned bars, every swap with its reason; and its JSON form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from porchswing.chart.model import Bar, Meter, Section
from porchswing.harmony.analysis.figures import Figure, named_figures
from porchswing.harmony.analysis.roman import ReadSlot, modulations, read_chart_roman
from porchswing.harmony.choice.lead import LastTime, Lead, Swap
from porchswing.harmony.places.swap_offer import SwapOffer
from porchswing.theory.keys import Key

BARS_A_LINE = 4
WIDTH = 100
_INDENT = "      "


def explained(lead: Lead) -> str:
    """Return a lead as text: section by section both lanes, then what was done and why.

    A swap's reason is given where it comes first; later ones say only what they do.
    """
    chart = lead.chart
    explained_names: set[str] = set()
    reads = read_chart_roman(chart, lane="swing")
    figures = named_figures(reads)
    out = [f"{chart.title}, {_keys(modulations(reads))}"]
    twins = {last.section: last for last in lead.last}
    for section in chart.sections:
        swing, last = section.lane("swing"), twins.get(section.name)
        out += ["", f"[{section.name}]" + (_last_time(last) if last else "")]
        for start in range(0, len(section.plain), BARS_A_LINE):
            stop = start + BARS_A_LINE
            if last and not any(start < bar <= stop for bar in last.bars):
                continue  # as at the other times
            rows = {
                "plain": [_written(bar, chart.meter) for bar in section.plain[start:stop]],
                "swing": [_written(bar, chart.meter) for bar in swing[start:stop]],
                "reads": [
                    _numerals(reads, section.name, number)
                    for number in range(start + 1, min(stop, len(swing)) + 1)
                ],
            }
            out += _aligned(rows, start + 1)
            out += [
                f"{_INDENT}{figure.name}, {_bars(figure)}: {' '.join(figure.numerals)}"
                for figure in figures
                if figure.section == section.name and start < figure.bar <= stop
            ]
            here = [s for s in lead.swaps if s.section == section.name and start < s.bar <= stop]
            for alike in _grouped(here):
                out += _group_lines(alike, first=alike[0].name not in explained_names)
                explained_names.add(alike[0].name)
            out += [
                f"{_INDENT}bar {one.bar}: no {one.name}: {one.reason}"
                for one in lead.blocked
                if one.section == section.name and start < one.bar <= stop
            ]
    return "\n".join(out)


def bars_json(lead: Lead) -> dict[str, Any]:
    """Return a lead as plain data, one entry a written bar."""
    reads = read_chart_roman(lead.chart, lane="swing")
    twins = {last.section for last in lead.last}
    return {
        "depth": lead.depth,
        "bars": [
            _bar_json(lead, reads, section, number)
            for section in lead.chart.sections
            if section.name not in twins
            for number in range(1, len(section.plain) + 1)
        ],
        "last": [
            {
                "section": one.section,
                "of": one.base,
                "bars": [
                    _bar_json(lead, reads, lead.chart.section(one.section), bar) for bar in one.bars
                ],
            }
            for one in lead.last
        ],
        "blocked": [
            {"section": one.section, "bar": one.bar, "name": one.name, "reason": one.reason}
            for one in lead.blocked
        ],
        "figures": [
            {
                "name": figure.name,
                "section": figure.section,
                "bars": [figure.bar, figure.last_bar],
                "numerals": [*figure.numerals],
            }
            for figure in named_figures(reads)
        ],
    }


def _bar_json(
    lead: Lead, reads: Sequence[ReadSlot], section: Section, number: int
) -> dict[str, Any]:
    """Return one bar of a section as plain data, its number counted from 1."""
    plain, swing = section.plain[number - 1], section.lane("swing")[number - 1]
    return {
        "section": section.name,
        "bar": number,
        "plain": _symbols(plain),
        "swing": _symbols(swing),
        "plain_beats": [float(slot.beats) for slot in plain.slots],
        "swing_beats": [float(slot.beats) for slot in swing.slots],
        "numerals": [
            read.reading.numeral if read.reading else "N.C."
            for read in reads
            if (read.section, read.bar) == (section.name, number)
        ],
        "swaps": [
            {
                "name": swap.name,
                "reason": swap.reason,
                "beat": float(swap.beat),
                "before": list(swap.before),
                "after": list(swap.after),
                "stays": list(swap.stays),
                "moves": list(swap.moves),
                "listen": swap.listen,
            }
            for swap in lead.swaps
            if (swap.section, swap.bar) == (section.name, number)
        ],
    }


def _last_time(last: LastTime) -> str:
    """Return in words what a section for the last time replaces."""
    bars = ", ".join(str(bar) for bar in last.bars)
    word = "bar" if len(last.bars) == 1 else "bars"
    return f"  the last time, for [{last.base}]: {word} {bars} differ{'s' if word == 'bar' else ''}"


def offers_json(offers: Iterable[SwapOffer]) -> dict[str, Any]:
    """Return the offers for one bar as plain data."""
    return {
        "offers": [
            {
                "symbols": list(offer.symbols),
                "beats": [float(beats) for beats in offer.beats],
                "name": offer.name,
                "depth": offer.depth,
                "reason": offer.reason,
                "listen": offer.listen,
                "changes": [
                    {
                        "bar": change.bar,
                        "before": list(change.before),
                        "after": list(change.after),
                        "beats": [float(beats) for beats in change.beats],
                    }
                    for change in offer.changes
                ],
                "melody": offer.melody,
                "fits": offer.fits,
                "points": offer.points,
            }
            for offer in offers
        ]
    }


def offer_lines(offers: Iterable[SwapOffer]) -> list[str]:
    """Return the offers for one bar as lines of text, the chords in front."""
    lines = []
    for number, offer in enumerate(offers, 1):
        lines.append(f"{number:2}. {' '.join(offer.symbols)}   {offer.name}, depth {offer.depth}")
        lines += _wrapped(offer.reason)
        lines += [
            f"{_INDENT}    bar {change.bar}: {' '.join(change.before)} -> {' '.join(change.after)}"
            for change in offer.changes
        ]
        if offer.melody:
            lines.append(f"{_INDENT}    the tune: {offer.melody}")
    return lines or ["nothing else fits here"]


def _symbols(bar: Bar) -> list[str]:
    return [slot.chord.symbol if slot.chord else "N.C." for slot in bar.slots]


def _aligned(rows: Mapping[str, Sequence[str]], number: int) -> list[str]:
    """Return rows of bars with their bar lines one under the other."""
    widths = [max(len(cell) for cell in column) for column in zip(*rows.values(), strict=True)]
    lines = []
    for name, row in rows.items():
        cells = " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        lines.append(f"{name:>6} | {cells} |" + (f"  bar {number}" if name == "plain" else ""))
    return lines


def _numerals(reads: Sequence[ReadSlot], section: str, bar: int) -> str:
    """Return the numerals of one bar of the swing lane, the key first where it is new."""
    words = []
    for index, read in enumerate(reads):
        if (read.section, read.bar) == (section, bar) and read.reading is not None:
            last = next((r.reading for r in reversed(reads[:index]) if r.reading), None)
            if last is not None and last.key != read.reading.key:
                words.append(f"({read.reading.key}:)")
            words.append(read.reading.numeral)
    return " ".join(words)


def _written(bar: Bar, meter: Meter) -> str:
    """Write a bar as charts do: evenly divided where it is, else a slash for each beat more."""
    lengths = {slot.beats for slot in bar.slots}
    even = len(lengths) == 1 and (bar.beats / len(bar.slots)) % meter.unit_beats == 0
    words = []
    for slot, symbol in zip(bar.slots, _symbols(bar), strict=True):
        more = 0 if even else int(slot.beats / meter.unit_beats) - 1
        words += [symbol, *["/"] * more]
    return " ".join(words)


def _grouped(swaps: Iterable[Swap]) -> list[list[Swap]]:
    """Group swaps that do the same thing, each group at the place of its first one."""
    groups: dict[object, list[Swap]] = {}
    for swap in swaps:
        groups.setdefault((swap.name, swap.before, swap.after), []).append(swap)
    return list(groups.values())


def _group_lines(alike: list[Swap], *, first: bool) -> list[str]:
    """Return the lines of swaps that do the same: what stays and moves; the first time also why."""
    swap = alike[0]
    places = ", ".join(_place(one) for one in alike)
    stays = ""
    if swap.stays:
        one = len(swap.stays) == 1
        stays = (
            f"; guide tone{'' if one else 's'} {' '.join(swap.stays)} {'stays' if one else 'stay'}"
        )
    moves = "".join(f"; {words}" for words in _moved(swap.moves))
    done = f"{' '.join(swap.before)} -> {' '.join(swap.after)}"
    lines = [f"{_INDENT}{swap.name}, {places}: {done}{stays}{moves}"]
    return [*lines, *_wrapped(f"{swap.reason} Listen: {swap.listen}.")] if first else lines


def _keys(changes: Sequence[tuple[str, int, Key]]) -> str:
    """Return in words the key a tune is heard in, and where it changes."""
    words = [
        f"in {key}" if not n else f"{key} from {section} bar {bar}"
        for n, (section, bar, key) in enumerate(changes)
    ]
    return ", ".join(words) or "without chords"


def _bars(figure: Figure) -> str:
    if figure.bar == figure.last_bar:
        return f"bar {figure.bar}"
    return f"bars {figure.bar}-{figure.last_bar}"


def _moved(moves: Sequence[str]) -> list[str]:
    """Return in words which notes are added and which are replaced."""
    added = [note.removeprefix("+") for note in moves if note.startswith("+")]
    gone = [note.partition(">") for note in moves if not note.startswith("+")]
    words = [f"adds {' '.join(added)}"] if added else []
    return [*words, ", ".join(f"{old} goes to {new}" for old, _, new in gone)] if gone else words


def _place(swap: Swap) -> str:
    return f"bar {swap.bar}" + ("" if swap.beat == 1 else f" beat {float(swap.beat):g}")


def _wrapped(text: str) -> list[str]:
    from textwrap import wrap

    return wrap(text, WIDTH, initial_indent=_INDENT + "    ", subsequent_indent=_INDENT + "    ")
