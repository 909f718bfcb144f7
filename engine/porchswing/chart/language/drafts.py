"""A section while it is read: its lanes line by line, and the record they become."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from porchswing.chart.language.bars import BarLine, BarReader, BarWords, read_line_of_bars
from porchswing.chart.language.header import BY_NAME
from porchswing.chart.language.melody_lane import read_note
from porchswing.chart.language.problems import Problems, TextError
from porchswing.chart.language.repeats import check_repeats, with_repeats_of
from porchswing.chart.language.values import write_fraction
from porchswing.chart.language.words_lane import (
    WordToken,
    aligned,
    lane_of_verse,
    read_sung_word,
    verse_number,
)
from porchswing.chart.limits import MAX_BAR_NOTES
from porchswing.chart.model import (
    Bar,
    MelodyNote,
    Meter,
    Section,
    Settings,
    SourceLine,
    SourcePlace,
    Syllable,
    Verse,
)
from porchswing.theory.keys import Key

Notes = tuple[MelodyNote, ...]


@dataclass(slots=True)
class LaneDraft:
    """One lane's bars so far (``None`` where one could not be read) and their places."""

    bars: list[Bar | None] = field(default_factory=list)
    notes: list[Notes | None] = field(default_factory=list)
    words: list[tuple[WordToken, ...] | None] = field(default_factory=list)
    places: list[SourcePlace] = field(default_factory=list)
    left_open: BarLine | None = None

    @property
    def is_whole(self) -> bool:
        """Whether every bar could be read."""
        return not any(None in found for found in (self.bars, self.notes, self.words))


@dataclass(slots=True)
class SectionDraft:
    """A section while it is read."""

    name: str
    place: SourcePlace
    problems: Problems
    lanes: dict[str, LaneDraft] = field(default_factory=dict)
    settings: list[tuple[int, str, object, SourcePlace]] = field(default_factory=list)
    rows: list[tuple[SourceLine, int, int]] = field(default_factory=list)
    last_lane: str = "plain"

    @property
    def written_bars(self) -> int:
        """Bars of the longest lane so far."""
        return max((len(lane.places) for lane in self.lanes.values()), default=0)

    def add_bars(
        self, row: SourceLine, start: int, meter: Meter, key: Key | None, line: int
    ) -> None:
        """Read a line of bars whose first bar line is at index ``start``."""
        lane, self.last_lane = self.lanes.setdefault(row.key, LaneDraft()), row.key
        try:
            found = read_line_of_bars(row.text, start, has_brackets=not verse_number(row.key))
        except TextError as trouble:
            self.problems.trouble(line, 1, trouble)
            lane.bars.append(None)
            lane.places.append(SourcePlace(line, start + 1))
            return
        before = len(lane.places)
        self._join(lane, found.first, found.cells)
        reader = BarReader(meter, key, line)
        if not found.cells:
            self.problems.at(
                SourcePlace(line, start + 1), "this line has no bars", "for example | F | C7 |"
            )
        for cell in found.cells:
            lane.places.append(cell.place(line))
            if row.key == "melody":
                lane.notes.append(self._read_notes(cell, meter, line))
                continue
            if verse_number(row.key):
                lane.words.append(self._read_words(cell, line))
                continue
            previous = lane.bars[-1] if lane.bars else None
            if lane.bars and previous is None and [w.text for w in cell.words] == ["%"]:
                lane.bars.append(None)
                continue
            bar, troubles = reader.read(cell, previous)
            for at, found_wrong in troubles:
                self.problems.trouble(line, at, found_wrong)
            lane.bars.append(bar)
        lane.left_open = found.left_open
        self.rows.append((row, before, len(lane.places)))

    def _join(self, lane: LaneDraft, first: BarLine, cells: list[BarWords]) -> None:
        """Apply a line's first bar line to the bar before it, and what was left open to its own."""
        if lane.left_open is not None and cells:
            cells[0].repeat_start |= lane.left_open.repeat_start
            cells[0].ending = cells[0].ending or lane.left_open.ending
        last = lane.bars[-1] if lane.bars else None
        if last is not None:
            lane.bars[-1] = replace(
                last,
                barline=first.style if last.barline == "|" else last.barline,
                repeat_times=last.repeat_times or first.repeat_times,
            )

    def _read_notes(self, cell: BarWords, meter: Meter, line: int) -> Notes | None:
        """Read a bar of the melody lane."""
        if not cell.words or len(cell.words) > MAX_BAR_NOTES:
            self.problems.at(
                SourcePlace(line, cell.column),
                f"a bar of melody has 1 to {MAX_BAR_NOTES} notes, got {len(cell.words)}",
                "a whole bar of rest in 4/4 is r:4",
            )
            return None
        notes: list[MelodyNote] = []
        for word in cell.words:
            try:
                note = read_note(word.text, meter)
                notes.append(replace(note, place=SourcePlace(line, word.column, len(word.text))))
            except TextError as trouble:
                self.problems.trouble(line, word.column, trouble)
        if len(notes) < len(cell.words):
            return None
        total = sum(note.beats for note in notes) / meter.unit_beats
        if total != meter.count:
            shown = " ".join(word.text for word in cell.words)[:60]
            self.problems.at(
                cell.place(line),
                f"| {shown} | has {write_fraction(total)} beats, "
                f"and a bar of {meter} has {meter.count}",
                "lengths count the meter's beats; r is a rest",
            )
            return None
        return tuple(notes)

    def _read_words(self, cell: BarWords, line: int) -> tuple[WordToken, ...] | None:
        """Read a bar of the words lane."""
        tokens: list[WordToken] = []
        is_wrong = False
        for word in cell.words:
            try:
                tokens += read_sung_word(word.text, SourcePlace(line, word.column, len(word.text)))
            except TextError as trouble:
                self.problems.trouble(line, word.column, trouble)
                is_wrong = True
        if sum(max(1, len(token.syllables)) for token in tokens) > MAX_BAR_NOTES:
            self.problems.at(
                SourcePlace(line, cell.column), f"a bar has at most {MAX_BAR_NOTES} syllables"
            )
            is_wrong = True
        return None if is_wrong else tuple(tokens)

    def add_setting(self, row: SourceLine, value: object, place: SourcePlace) -> None:
        """Store the value of a setting line."""
        lane = self.lanes.get(self.last_lane)
        start = len(lane.places) if lane else 0
        if any(key == row.key and at == start for at, key, _, _ in self.settings):
            self.problems.at(
                SourcePlace(place.line, 1, len(row.key)),
                f"{row.key} is already set for these bars",
                "leave one of the two lines out",
            )
        self.settings.append((start, row.key, value, place))
        self.rows.append((row, start, start))

    def finish(self, meter: Meter) -> Section | None:
        """Return the section, or ``None`` where something is missing or wrong."""
        plain = self.lanes.get("plain")
        if plain is None or not plain.places:
            what, hint = "bars", "a line of bars begins with |, for example | F | C7 |"
            if self.lanes:
                what, hint = "plain lane", "give the plain lane too: what a beginner plays"
            self.problems.at(self.place, f"section {self.name} has no {what}", hint)
            return None
        bars = self._checked(plain, "plain")
        swing = self._swing(bars)
        melody = self._melody()
        words = self._words(meter, melody)
        settings = self._settings(len(plain.places))
        if bars is None:
            return None
        return Section(
            self.name,
            bars,
            swing,
            melody,
            settings,
            self.place,
            rows=tuple(self._rows(bars, swing, melody, words)),
            words=words,
        )

    def _checked(self, lane: LaneDraft, name: str) -> tuple[Bar, ...] | None:
        """Return a lane's bars when all of them are right, its repeats too."""
        if lane.left_open is not None and lane.places:
            self.problems.at(
                lane.places[-1],
                f"the {name} lane ends with an open repeat or ending",
                "no bar follows it",
            )
        if not lane.is_whole:
            return None
        bars = tuple(bar for bar in lane.bars if bar is not None)
        troubles = check_repeats(bars)
        for index, trouble in troubles:
            self.problems.at(lane.places[index], trouble.message, trouble.hint)
        return None if troubles else bars

    def _swing(self, plain: tuple[Bar, ...] | None) -> tuple[Bar, ...] | None:
        lane = self.lanes.get("swing")
        if lane is None or not self._matches(lane, "swing"):
            return None
        bars = self._checked(lane, "swing")
        if bars is None or plain is None:
            return None
        joined = with_repeats_of(bars, plain)
        if joined is None:
            self.problems.at(
                lane.places[0],
                "the repeats of the swing lane are not those of the plain one",
                "write the same repeats, or none: the plain lane's hold for both",
            )
        return joined

    def _melody(self) -> tuple[Notes, ...] | None:
        lane = self.lanes.get("melody")
        if lane is None or not self._matches(lane, "melody") or not lane.is_whole:
            return None
        return tuple(notes for notes in lane.notes if notes is not None)

    def _words(self, meter: Meter, melody: tuple[Notes, ...] | None) -> tuple[Verse, ...]:
        """Return the verses, each syllable at its note or share."""
        numbers = sorted(filter(None, map(verse_number, self.lanes)))
        verses: list[Verse] = []
        for number, wanted in enumerate(numbers, 1):
            name = lane_of_verse(wanted)
            lane = self.lanes[name]
            if wanted != number and lane.places:
                self.problems.at(
                    lane.places[0],
                    f"{name} comes without {lane_of_verse(number)}",
                    "number them from 1",
                )
            if self._matches(lane, name) and lane.is_whole:
                bars = range(len(lane.words))
                verses.append(tuple(self._sung(lane, index, meter, melody) for index in bars))
        return tuple(verses)

    def _sung(
        self, lane: LaneDraft, index: int, meter: Meter, melody: tuple[Notes, ...] | None
    ) -> tuple[Syllable, ...]:
        """Return the syllables of one bar of a verse."""
        try:
            return aligned(lane.words[index] or (), meter, melody[index] if melody else None)
        except TextError as trouble:
            self.problems.trouble(lane.places[index].line, 0, trouble)
            return ()

    def _matches(self, lane: LaneDraft, name: str) -> bool:
        """Whether a lane has as many bars as the plain one."""
        count, wanted = len(lane.places), len(self.lanes["plain"].places)
        if count == wanted:
            return True
        if lane.places:
            hint = "% repeats the bar before it"
            if (verse := verse_number(name)) and count > wanted:
                hint = f"the next verse is {lane_of_verse(verse + 1)} | ... |"
            elif verse:
                hint = "* is a bar without words"
            self.problems.at(
                lane.places[-1],
                f"the {name} lane of section {self.name} has {count} bars, the plain lane {wanted}",
                hint,
            )
        return False

    def _settings(self, count: int) -> tuple[tuple[int, Settings], ...]:
        found: dict[int, Settings] = {}
        for start, key, value, place in self.settings:
            if start >= count:
                self.problems.at(
                    place,
                    f"{key} comes after the section's last bar",
                    "put it above the bars it is meant for",
                )
            changed: dict[str, Any] = {BY_NAME[key].attribute: value}
            found[start] = replace(found.get(start, Settings()), **changed)
        return tuple(sorted(found.items()))

    def _rows(
        self,
        plain: tuple[Bar, ...],
        swing: tuple[Bar, ...] | None,
        melody: tuple[Notes, ...] | None,
        words: tuple[Verse, ...],
    ) -> Iterator[SourceLine]:
        """Yield the lines as typed, each with its bars."""
        lanes: dict[str, tuple[Bar, ...] | tuple[Notes, ...] | Verse] = {
            "plain": plain,
            "swing": swing or (),
            "melody": melody or (),
            **{lane_of_verse(number): verse for number, verse in enumerate(words, 1)},
        }
        for row, start, end in self.rows:
            said = lanes.get(row.key, ())[start:end]
            yield replace(row, said=said) if row.kind == "bars" else row
