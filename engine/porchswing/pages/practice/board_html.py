"""The changes as HTML that can be read without scripts: every bar a plank, four to a board.

The page's script only marks what is here. Positions are attributes of SVG elements, since the
page's policy forbids style attributes.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape
from typing import NamedTuple

from porchswing.chart.model import Chart, Syllable
from porchswing.chart.roadmap import PlayedBar, with_onsets
from porchswing.chart.sung_text import sung_cells, sung_text
from porchswing.chart.unroll import section_title
from porchswing.grips.shapes.model import Grip, VoicedSlot
from porchswing.grips.vocabulary.slides import mark_words
from porchswing.pages.practice.page_lane import PageLane, lane_places, shown_bars
from porchswing.pages.symbols import symbol_html
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, shown_pc
from porchswing.theory.notes import with_signs

BARS_A_BOARD = 4
WORD_SHARES = 24
"""Parts of a bar that words are placed by: each has a class in the page's style."""
MOST_BY_BEAT = 28
"""Characters of a bar's verse that fit a wide board by beat; longer ones run on."""
LINE_HEIGHT_PX = 58
LINE_TOP_PX, LINE_SPAN_PX = 13, 32
"""Height of a string's line and of its highest note, in CSS pixels."""


class HeldGrip(NamedTuple):
    """A grip with the fingers that hold it: grips alone are equal whatever the fingers."""

    grip: Grip
    fingers: tuple[int, ...]

    @classmethod
    def of(cls, grip: Grip) -> HeldGrip:
        """Return a grip with its fingers."""
        return cls(grip, grip.fingers)


@dataclass(frozen=True, slots=True)
class BarSlot:
    """One chord of a shown bar: where it enters in beats from the bar line, and its grip.

    ``said`` are its playing marks in words.
    """

    at: Fraction
    chord: Chord | None
    grip: Grip | None
    said: str = ""


def bar_slots(lane: PageLane, bar: PlayedBar) -> tuple[BarSlot, ...]:
    """Return the chords of a bar as they are voiced."""
    voiced: list[VoicedSlot | None] = list(lane.voicing.voiced(bar))
    voiced += [None] * (len(bar.slots) - len(voiced))
    found = []
    for (at, slot), choice in zip(with_onsets(bar.slots), voiced, strict=False):
        chord = choice.chord if choice is not None and choice.chord is not None else slot.chord
        grip = choice.grip if choice is not None else None
        found.append(BarSlot(at, chord, grip, mark_words(slot.marks, grip)))
    return tuple(found)


def boards_html(
    chart: Chart,
    lanes: Sequence[PageLane],
    numbers: Mapping[HeldGrip, int],
    lines: LineHtml,
    known: Collection[str] = (),
) -> str:
    """Return every board of the tune; ``numbers`` are the places of the grips in the gallery.

    Boards of the sections ``known`` are small.
    """
    main = main_lane(lanes)
    other = next((lane for lane in lanes if lane is not main), None)
    places = lane_places(lanes)
    bars = shown_bars(main.roadmap.bars, places)
    slots = [bar_slots(main, bar) for bar in bars]
    small = [""] * len(bars)
    if other is not None:
        small = [_small_html(other, bar) for bar in shown_bars(other.roadmap.bars, places)]
    rows = []
    for board in _boards(bars):
        first = bars[board[0]]
        title = section_title(chart, first.section)  # a board holds bars of one section
        cells = "".join(
            _cell(place, title, bars[place], slots[place], small[place], numbers, lines)
            for place in board
        )
        before = bars[board[0] - 1] if board[0] else None
        begins = before is None or first.bar == 1 or _stretch(first) != _stretch(before)
        is_known = first.section in known
        name = _section_html(title, board[0], bars, is_known) if begins else ""
        looks = " dense" if any(len(slots[place]) > 2 for place in board) else ""
        looks += " known" if is_known else ""
        rows.append(f'<div class="boardrow{looks}">{name}<ol class="board">{cells}</ol></div>')
    return "\n".join(rows)


def main_lane(lanes: Sequence[PageLane]) -> PageLane:
    """Return the lane set large: the swing lane where there is one."""
    return next((lane for lane in lanes if lane.name == "swing"), lanes[0])


def _boards(bars: Sequence[PlayedBar]) -> list[list[int]]:
    """Return the places of the bars in boards of at most four, a new one with every section."""
    boards: list[list[int]] = []
    for place, bar in enumerate(bars):
        if (
            place == 0
            or len(boards[-1]) == BARS_A_BOARD
            or _stretch(bar) != _stretch(bars[place - 1])
            or bar.bar != bars[place - 1].bar + 1
        ):
            boards.append([])
        boards[-1].append(place)
    return boards


def _stretch(bar: PlayedBar) -> tuple[str, str]:
    return bar.section, bar.role


def _section_html(name: str, first: int, bars: Sequence[PlayedBar], is_known: bool) -> str:
    """Return the heading of a section; the script makes it a button that loops its bars."""
    rest = itertools.takewhile(
        lambda bar: bar.bar != 1 and _stretch(bar) == _stretch(bars[first]), bars[first + 1 :]
    )
    last = first + len(list(rest))
    words = f"{escape(name)}, you know it" if is_known else escape(name)
    return f'<h3 class="section" data-from="{first}" data-to="{last}">{words}</h3>'


def _cell(
    place: int,
    section: str,
    bar: PlayedBar,
    slots: Sequence[BarSlot],
    small: str,
    numbers: Mapping[HeldGrip, int],
    lines: LineHtml,
) -> str:
    """Return a bar: its number, its chords, the ``small`` ones of the other lane, its words."""
    chords = "".join(_slot_html(slot, numbers) for slot in slots)
    return (
        f'<li><div class="plank" data-place="{place}">'
        f'<span class="number"><span class="unseen">Bar </span>{place + 1}'
        f'<span class="unseen">, section {escape(section)},</span></span>'
        f'<span class="chords of-{min(4, len(slots))}">{chords}</span>{small}{_words_html(bar)}'
        f'<span class="tag"></span></div>{lines.shown(place)}</li>'
    )


def _small_html(lane: PageLane, bar: PlayedBar) -> str:
    """Return a bar's chords in the lane that is set small."""
    chords = "".join(
        f'<span class="slot" data-at="{float(slot.at):g}">{symbol_html(slot.chord)} </span>'
        for slot in bar_slots(lane, bar)
    )
    return f'<span class="plain"><span class="unseen"> {lane.name} lane: </span>{chords}</span>'


def _words_html(bar: PlayedBar) -> str:
    """Return the words of a bar, each verse in a line of its own; nothing without words."""
    texts = [sung_text(verse) for verse in bar.words]
    if not any(texts):
        return ""
    numbered = len(texts) > 1
    verses = "".join(
        _verse_html(bar, words, text, number if numbered else 0)
        for number, (words, text) in enumerate(zip(bar.words, texts, strict=True), 1)
        if text
    )
    return f'<span class="words"><span class="unseen"> words: </span>{verses}</span>'


def _verse_html(bar: PlayedBar, words: Sequence[Syllable], text: str, number: int) -> str:
    """Return a verse of a bar: in shares of its beats where there is room, else running on.

    The text is the same in both; only the wide page hyphenates inside a word.
    """
    label = f'<span class="verse-number">{number}. </span>' if number else ""
    evenly = len({slot.beats for slot in bar.slots}) == 1 and len(bar.slots) <= 2
    if not evenly or len(text) > MOST_BY_BEAT:
        return f'<span class="verse" dir="auto">{label}{escape(text)} </span>'
    cells = sung_cells(words, bar.beats)
    shown = []
    for place, cell in enumerate(cells):
        share = max(1, round(WORD_SHARES * cell.share / float(bar.beats)))
        inside = cell.text.endswith("-") and any(after.text for after in cells[place + 1 :])
        said = cell.text[:-1] if inside else cell.text
        space = " " if said and not cell.text.endswith("-") else ""
        joined = " joined" if inside else ""
        shown.append(f'<span class="w-{share}{joined}">{escape(said)}{space}</span>')
    return f'<span class="verse by-beat" dir="auto">{label}{"".join(shown)}</span>'


def _slot_html(slot: BarSlot, numbers: Mapping[HeldGrip, int]) -> str:
    grip = (
        f'<span class="frets">{escape(str(slot.grip))}</span>'
        f'<svg class="small" viewBox="0 0 92 112" aria-hidden="true">'
        f'<use href="#grip-{numbers[HeldGrip.of(slot.grip)]}"/></svg>'
        if slot.grip is not None
        else ""
    )
    said = f'<span class="mark"> {escape(slot.said)}</span>' if slot.said else ""
    return (
        f'<span class="slot" data-at="{float(slot.at):g}">{symbol_html(slot.chord)}'
        f'<span class="unseen"> </span>{grip}{said}</span>'
    )


# --- the line of a string, bar by bar --------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bead:
    """One note of a string's line: ``x`` in percent of its bar, ``y`` in pixels from the top.

    ``is_joined`` says that it follows the bead before with no rest or muted string between.
    """

    x: float
    y: float
    fret: int
    note: str
    is_joined: bool


@dataclass(frozen=True, slots=True)
class LineHtml:
    """The line of every string of every lane, as one SVG a bar, by lane and string index.

    ``first`` names the line that is shown at first, or none.
    """

    bars: Mapping[tuple[str, int], tuple[str, ...]]
    first: tuple[str, int] | None = None

    def shown(self, place: int) -> str:
        """Return the SVG of the line shown at first under one bar."""
        return self.bars[self.first][place] if self.first else ""

    def kept(self) -> str:
        """Return every line, for the page's script to choose from."""
        return "".join(
            f'<div data-line="{lane} {string}">{"".join(bars)}</div>'
            for (lane, string), bars in self.bars.items()
        )


def line_html(lanes: Sequence[PageLane], key: Key, string: int | None) -> LineHtml:
    """Return the lines of all strings; ``string`` is the index of the one shown at first."""
    places = lane_places(lanes)
    bars = {
        (lane.name, index): tuple(
            _line_bars(line_beads(lane, shown_bars(lane.roadmap.bars, places), key, index))
        )
        for lane in lanes
        for index in range(lanes[0].voicing.tuning.strings)
    }
    return LineHtml(bars, None if string is None else (lanes[0].name, string))


def line_beads(lane: PageLane, bars: Sequence[PlayedBar], key: Key, index: int) -> list[list[Bead]]:
    """Return the beads of one string for the ``bars`` shown: a note that falls is lower."""
    slots = [bar_slots(lane, bar) for bar in bars]
    pitches = [
        pitch
        for row in slots
        for slot in row
        if slot.grip is not None and (pitch := slot.grip.midi[index]) is not None
    ]
    low, high = min(pitches, default=0), max(pitches, default=0)
    found: list[list[Bead]] = []
    is_joined = False
    for bar, row in zip(bars, slots, strict=True):
        beads: list[Bead] = []
        for slot in row:
            pitch = slot.grip.midi[index] if slot.grip is not None else None
            fret = slot.grip.frets[index] if slot.grip is not None else None
            if pitch is None or fret is None:
                is_joined = False
                continue
            share = (high - pitch) / (high - low) if high > low else 0.5
            x = round(100 * float(slot.at / bar.beats), 2)
            y = round(LINE_TOP_PX + LINE_SPAN_PX * share, 1)
            beads.append(
                Bead(x, y, fret, with_signs(str(shown_pc(pitch % 12, slot.chord, key))), is_joined)
            )
            is_joined = True
        found.append(beads)
    return found


def _line_bars(beads: Sequence[Sequence[Bead]]) -> Iterator[str]:
    for place, row in enumerate(beads):
        after = beads[place + 1][0] if place + 1 < len(beads) and beads[place + 1] else None
        segments = [_segment(a.x, a.y, b.x, b.y) for a, b in itertools.pairwise(row) if b.is_joined]
        if row and after is not None and after.is_joined:
            segments.append(_segment(row[-1].x, row[-1].y, 100, after.y))
        marks = "".join(
            f'<circle cx="{bead.x:g}%" cy="{bead.y:g}" r="9"/>'
            f'<text x="{bead.x:g}%" y="{bead.y + 4.5:g}">{bead.fret}</text>'
            f'<text x="{bead.x:g}%" y="{bead.y + 4.5:g}" dx="11" class="note">'
            f"{escape(bead.note)}</text>"
            for bead in row
        )
        yield (
            f'<svg class="line" height="{LINE_HEIGHT_PX}" aria-hidden="true">'
            f'<g transform="translate(11 0)">{"".join(segments)}{marks}</g></svg>'
        )


def _segment(x: float, y: float, x2: float, y2: float) -> str:
    return f'<line x1="{x:g}%" y1="{y:g}" x2="{x2:g}%" y2="{y2:g}"/>'
