"""Lines of bars: bar lines, repeats and endings, and how the words of a bar share its beats."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, field, replace
from fractions import Fraction

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.slots import read_slot
from porchswing.chart.limits import MAX_BAR_NOTES, MAX_REPEATS, MAX_WRITTEN_BARS, MIN_STRINGS
from porchswing.chart.model import Bar, Meter, Slot, SourcePlace
from porchswing.theory.keys import Key
from porchswing.units import counted

_BAR_LINE = re.compile(
    r"""(:)?\|([|\]])?
    (?(1)(?:x([0-9]{0,3}))?)  # how often, only behind :|
    (?:(:)|([0-9])(?=[\s|]|\Z))?""",
    re.VERBOSE,
)
_FRETS = re.compile(r"-?([xX]|[0-9]{1,2})(-?([xX]|[0-9]{1,2}))*-?")


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a bar; ``column`` counts from 1 in its line."""

    text: str
    column: int


@dataclass(slots=True)
class BarWords:
    """The words between two bar lines, with what those lines open or close."""

    words: list[Word] = field(default_factory=list)
    column: int = 1
    repeat_start: bool = False
    ending: int | None = None
    repeat_times: int = 0
    barline: str = "|"

    def place(self, line: int) -> SourcePlace:
        """Return the place of the words, or of the bar line before where there are none."""
        if not self.words:
            return SourcePlace(line, self.column)
        first, last = self.words[0], self.words[-1]
        return SourcePlace(line, first.column, last.column - first.column + len(last.text))


@dataclass(frozen=True, slots=True)
class BarLine:
    """A bar line as read: what it closes, and what it opens after it."""

    end: int
    column: int
    style: str = "|"
    repeat_times: int = 0
    repeat_start: bool = False
    ending: int | None = None

    @property
    def opens(self) -> bool:
        """Whether it opens a repeat or an ending."""
        return self.repeat_start or self.ending is not None


def read_bar_line(text: str, start: int) -> BarLine:
    """Read the bar line at ``start``: ``| || |] |: :| :|x3 :|: |1 |2``."""
    match = _BAR_LINE.match(text, start)
    assert match is not None
    closes, twice, digits, opens, ending = match.groups()
    times = 2 if closes else 0
    if digits is not None:
        times = int(digits or 0)
        if not 1 < times <= MAX_REPEATS:
            raise TextError(
                f"a repeat is played 2 to {MAX_REPEATS} times",
                "for example :|x3",
                start,
                match.end(3) - start,
            )
    return BarLine(
        match.end(),
        start + 1,
        style=f"|{twice or ''}",
        repeat_times=times,
        repeat_start=bool(opens),
        ending=int(ending) if ending else None,
    )


def _word_end(text: str, start: int, has_brackets: bool) -> int:
    """Return where a word ends: at a space outside brackets, or at a bar line."""
    depth, end = 0, start
    while end < len(text) and text[end] != "|":
        if text[end].isspace() and depth <= 0:
            break
        if text[end] == ":" and text[end + 1 : end + 2] == "|":
            break
        if has_brackets:
            depth += (text[end] in "({") - (text[end] in ")}")
        end += 1
    return end


@dataclass(slots=True)
class LineOfBars:
    """A line of bars as read: what its first bar line closes, its cells, what is left open."""

    first: BarLine
    cells: list[BarWords]
    left_open: BarLine | None


def read_line_of_bars(text: str, start: int, *, has_brackets: bool = True) -> LineOfBars:
    """Split a line into cells; ``start`` is the index of its first bar line.

    Where it ``has_brackets``, a space inside them ends no word.
    """
    first = last = read_bar_line(text, start)
    cells: list[BarWords] = []
    cell = _opened(last)
    place = last.end
    while True:
        while place < len(text) and text[place].isspace():
            place += 1
        if place >= len(text):
            break
        if text[place] == "|" or text[place : place + 2] == ":|":
            bar_line = read_bar_line(text, place)
            place = bar_line.end
            if not cell.words and bar_line.opens and not bar_line.repeat_times:
                cell.repeat_start |= bar_line.repeat_start
                cell.ending = bar_line.ending if cell.ending is None else cell.ending
                last = bar_line
                continue
            cell.repeat_times, cell.barline = bar_line.repeat_times, bar_line.style
            cells.append(cell)
            if len(cells) > MAX_WRITTEN_BARS:
                raise TextError(f"this line has more than {MAX_WRITTEN_BARS:,} bars", "", start)
            cell, last = _opened(bar_line), bar_line
            continue
        end = _word_end(text, place, has_brackets)
        cell.words.append(Word(text[place:end].rstrip(), place + 1))
        place = end
    if cell.words:
        cells.append(cell)
        return LineOfBars(first, cells, None)
    left_open = replace(last, repeat_start=cell.repeat_start, ending=cell.ending)
    return LineOfBars(first, cells, left_open if left_open.opens else None)


def _opened(bar_line: BarLine) -> BarWords:
    """Return the empty cell after a bar line."""
    return BarWords([], bar_line.column, bar_line.repeat_start, bar_line.ending)


@dataclass(frozen=True, slots=True)
class BarReader:
    """A reader of cells as bars; ``key`` is given where chords may be numbers."""

    meter: Meter
    key: Key | None
    line: int

    def read(
        self, cell: BarWords, before: Bar | None
    ) -> tuple[Bar | None, list[tuple[int, TextError]]]:
        """Return the bar of a cell, or every error found in it with its column."""
        troubles: list[tuple[int, TextError]] = []
        try:
            slots = self._slots(cell, before, troubles)
        except TextError as trouble:
            troubles.append((cell.place(self.line).column, trouble))
        if troubles:
            return None, troubles
        bar = Bar(
            slots,
            cell.repeat_start,
            cell.repeat_times,
            cell.ending,
            is_percent=cell.words[0].text == "%",
            barline=cell.barline,
        )
        return bar, []

    def _slots(
        self, cell: BarWords, before: Bar | None, troubles: list[tuple[int, TextError]]
    ) -> tuple[Slot, ...]:
        words = cell.words
        if not words:
            raise TextError(
                "this bar is empty", "write N.C. for silence, % to repeat the bar before"
            )
        if len(words) > MAX_BAR_NOTES:
            raise TextError(f"a bar has at most {MAX_BAR_NOTES} chords, got {len(words)}")
        if any(word.text == "%" for word in words):
            return self._percent(words, before)
        if words[0].text == "/":
            raise TextError(
                "/ adds a beat to the chord before it, and there is none in this bar",
                "name the chord again, or write % for the whole bar",
            )
        _check_spaced_grip(words)
        read: list[tuple[Slot | None, Word]] = []
        for at, word in enumerate(words):
            try:
                read.append((None if word.text == "/" else read_slot(word.text, self.key), word))
            except TextError as trouble:
                if at and any(sign.isalnum() for sign in word.text):
                    joined = words[at - 1].text + word.text
                    with suppress(TextError):
                        read_slot(joined, self.key)
                        trouble.hint = f"did you mean {joined}, without the space?"
                troubles.append((word.column, trouble))
        if troubles and read and not self.meter.count % len(read):
            return ()  # without the wrong words they share the bar
        beats = self._shares(cell)
        return () if troubles else self._joined(read, beats)

    def _percent(self, words: list[Word], before: Bar | None) -> tuple[Slot, ...]:
        """Return the slots of the bar before."""
        if len(words) > 1:
            first = next(word for word in words if word.text == "%")
            raise TextError(
                "% must be alone in its bar",
                "it repeats the whole bar before it",
                first.column - words[0].column,
            )
        if before is None:
            raise TextError(
                "% repeats the bar before it, and there is none",
                "write the chords of the first bar of a section",
            )
        return before.slots

    def _shares(self, cell: BarWords) -> Fraction:
        """Return the beats each word of a bar gets."""
        words = cell.words
        count, units = len(words), self.meter.count
        shown = f"| {' '.join(word.text for word in words)[:60]} |"
        beats = f"{units} beats" if self.meter.unit == 4 else f"{units} eighths"
        width = cell.place(self.line).width
        if any(word.text == "/" for word in words) and count != units:
            raise TextError(
                f"{shown} has {count} beats, and a bar of {self.meter} has {beats}",
                "with / in a bar, every chord and every / is one beat",
                0,
                width,
            )
        if units % count:
            hint = "write a / for every further beat of a chord, as in | C / / Am |"
            if self.key is not None and cell.ending is not None:
                hint = "a number right after | opens an ending; put a space before a chord"
            elif count > units:
                hint = "a bar has at most a chord a beat; {push} brings one in an eighth early"
            raise TextError(
                f"{shown} has {counted(count, 'chord')}, which do not share {beats} evenly",
                hint,
                0,
                width,
            )
        return Fraction(units, count) * self.meter.unit_beats

    def _joined(self, read: list[tuple[Slot | None, Word]], beats: Fraction) -> tuple[Slot, ...]:
        """Return slots, each lengthened by the slashes after it."""
        slots: list[Slot] = []
        for said, word in read:
            if said is None:
                slots[-1] = replace(slots[-1], beats=slots[-1].beats + beats)
                continue
            place = SourcePlace(self.line, word.column, len(word.text))
            slots.append(replace(said, beats=beats, place=place))
        return tuple(slots)


def _check_spaced_grip(words: list[Word]) -> None:
    """Raise where a grip lock is written with spaces: ``Dm7 @ 5 5 5 5``, ``Dm7@ 5555``."""
    for at, word in enumerate(words):
        symbol, sign, frets = word.text.partition("@")
        chord = symbol or (words[at - 1].text if at else "")
        end = at + 1
        while sign and end < len(words) and _FRETS.fullmatch(words[end].text):
            end += 1
        if not sign or not chord or chord == "/" or (symbol and end == at + 1):
            continue
        pieces = [frets, *(each.text for each in words[at + 1 : end])]
        text = ("-" if any(len(each) == 2 for each in pieces) else "").join(filter(None, pieces))
        text = text if len(text) >= MIN_STRINGS else "3435"
        first, last = words[at - 1 if not symbol else at], words[end - 1]
        raise TextError(
            "a grip follows its chord without spaces",
            f"write {chord}@{text}",
            first.column - words[0].column,
            last.column + len(last.text) - first.column,
        )


def write_barlines(closed: Bar | None, opened: Bar | None) -> str:
    """Return the bar line between two bars; ``None`` at the ends of a line."""
    text = closed.barline if closed is not None else "|"
    if closed is not None and closed.repeat_times:
        text = f":{text}" + (f"x{closed.repeat_times}" if closed.repeat_times > 2 else "")
    opener = ""
    if opened is not None:
        opener = str(opened.ending or (":" if opened.repeat_start else ""))
    return f"{text} |{opener}" if opener and text[-1] not in "|]" else f"{text}{opener}"
