"""Turns of phrase that have a name: ii–V–I, turnarounds, the backdoor, the ending tag.

They are rows of numerals without their colours; a tritone substitute counts as the V it stands
for. The longest name wins. Common practice, no single source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from porchswing.harmony.analysis.roman import ReadSlot

# name -> the rows of numerals that have it
FIGURES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("ending tag", ("I V/IV IV #iv° I V I",)),
    (
        "turnaround",
        (
            "I vi ii V", "I V/ii ii V", "I #i° ii V", "I #i° ii #ii°", "iii vi ii V",
            "iii V/ii ii V", "I vi V/V V", "I V/ii V/V V", "i vi ii V",
            "i VI ii V",
        ),
    ),
    ("chain of dominants", ("V/iii V/vi V/ii V/V V", "V/vi V/ii V/V V", "V/ii V/V V")),
    ("minor iv and home", ("IV iv I",)),
    ("backdoor", ("iv bVII I",)),
    ("climb to the fifth", ("I V/IV IV #iv° I",)),
    ("passing diminished", ("I #i° ii", "iii biii° ii", "ii #ii° iii", "IV #iv° I", "iv #iv° i")),
    ("ii–V–I", ("ii V I", "ii V i")),
    ("ii–V", ("ii V",)),
)  # fmt: skip
_PART = re.compile(r"(sub)?([b#]*)([IViv]+)([°ø])?")
_GOALS = ("ii", "iii", "III", "IV", "iv", "V", "v", "vi", "VI", "VII")


class Figure(NamedTuple):
    """A named turn of phrase: its section, its first and last bar (from 1), its numerals."""

    name: str
    section: str
    bar: int
    last_bar: int
    numerals: tuple[str, ...]


def bare(numeral: str) -> str:
    """Return a numeral without its colour; a tritone substitute as the V it stands for.

    >>> [bare(one) for one in ("V9/ii", "subV7", "#i°7", "iiø7", "I6/9")]
    ['V/ii', 'V', '#i°', 'ii', 'I']
    """
    head, slash, goal = numeral.rpartition("/")
    found = _PART.match(head if slash and goal in _GOALS else numeral)
    if found is None:
        return numeral
    degree = found[2] + found[3] + ("°" if found[4] == "°" else "")
    return degree + (f"/{goal}" if slash and goal in _GOALS else "")


def named_figures(slots: Sequence[ReadSlot]) -> tuple[Figure, ...]:
    """Return the figures of a lane in order, none inside another.

    ``slots`` is a lane read by :func:`~porchswing.harmony.analysis.roman.read_chart_roman`; a chord
    that lasts over several slots counts once, and no figure reaches from one section into the
    next.
    """
    heard: list[ReadSlot] = []
    for slot in slots:
        new = not heard or (heard[-1].section, heard[-1].chord) != (slot.section, slot.chord)
        if slot.reading and new:
            heard.append(slot)
    found, place = [], 0
    while place < len(heard):
        figure = _figure_at(heard, place)
        if figure is not None:
            found.append(figure)
        place += max(1, len(figure.numerals) - 1) if figure else 1
    return tuple(found)


def _figure_at(heard: Sequence[ReadSlot], place: int) -> Figure | None:
    """Return the longest figure that starts at a chord."""
    best: Figure | None = None
    for name, rows in FIGURES:
        for row in rows:
            words = row.split()
            part = heard[place : place + len(words)]
            numerals = [slot.reading.numeral for slot in part if slot.reading]
            one_key = len({slot.reading.key for slot in part if slot.reading}) == 1
            one_section = len({slot.section for slot in part}) == 1
            if [bare(n) for n in numerals] != words or not one_key or not one_section:
                continue
            goes_on = place + len(words) < len(heard) and (
                heard[place + len(words)].section == part[0].section
            )
            if name == "ending tag" and goes_on:
                continue
            if best is None or len(words) > len(best.numerals):
                first, last = part[0], part[-1]
                best = Figure(name, first.section, first.bar, last.bar, tuple(numerals))
    return best
