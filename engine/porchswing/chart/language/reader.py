"""Reading a chart: text in, :class:`~porchswing.chart.model.Chart` out, or every problem at once.

The reader goes through the text line by line with no recursion and no pattern that could run
away on hostile text; every size is limited by :mod:`porchswing.chart.limits`.
"""

from __future__ import annotations

from os import PathLike
from typing import IO, Any

from porchswing.chart.chart_text import name_of, read_chart_text
from porchswing.chart.language.drafts import SectionDraft
from porchswing.chart.language.header import BY_NAME, IN_SECTIONS, OTHER_WORDS, HeaderKey
from porchswing.chart.language.problems import Problems, TextError, nearest, shortened
from porchswing.chart.language.repeats import playing_order
from porchswing.chart.language.values import TIMES_BEFORE, FormTooLongError
from porchswing.chart.language.words_lane import WORDS, verse_lane
from porchswing.chart.limits import (
    MAX_CHART_CHARACTERS,
    MAX_LINES,
    MAX_SECTIONS,
    MAX_WRITTEN_BARS,
)
from porchswing.chart.model import LANES, Chart, Meter, Section, Settings, SourceLine, SourcePlace
from porchswing.errors import ChartError, Problem, check_types
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

ALL_LANES = (*LANES, "melody", WORDS)
IMPLIED_SECTION = "A"
"""Name of the section of a chart that writes its bars without one."""

_KEY_WORD = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-_ ")


def read_chart(path: str | PathLike[str] | IO[str] | IO[bytes]) -> Chart:
    """Return the chart that a file holds.

    Parameters
    ----------
    path
        Path of a UTF-8 file, or a file object open for reading, text or bytes.

    Returns
    -------
    Chart
        The chart, with the place of every chord in the file.

    Raises
    ------
    ChartError
        With every problem found, also where the file cannot be opened.
    """
    return parse_chart(read_chart_text(path), name_of(path))


def parse_chart(text: str, file: str = "<chart>") -> Chart:
    r"""Return the chart that a text in the chart language holds.

    Parameters
    ----------
    text
        The text of a ``.changes`` file.
    file
        The name that errors give it.

    Returns
    -------
    Chart
        The chart, with the place of every chord in the text.

    Raises
    ------
    ChartError
        With every problem found: line, column (both from 1), message and hint.

    Examples
    --------
    >>> chart = parse_chart("title: Two Bars\n[A]\n| F Dm7 | Gm7 C7 |\n")
    >>> [slot.chord.symbol for bar in chart.sections[0].plain for slot in bar.slots]
    ['F', 'Dm7', 'Gm7', 'C7']
    """
    check_types(text=(text, str), file=(file, str))
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines = plain.removesuffix("\n").split("\n") if plain else []
    for what, most, got, line in (
        ("characters", MAX_CHART_CHARACTERS, len(text), 1),
        ("lines", MAX_LINES, len(lines), MAX_LINES + 1),
    ):
        if got > most:
            message = f"a chart has at most {most:,} {what}, got {got:,}"
            raise ChartError((Problem(file, line, 1, message),))
    return _Reader(file, lines).read()


class _Reader:
    """The state of one reading."""

    def __init__(self, file: str, lines: list[str]) -> None:
        self.problems = Problems(file, lines)
        self.file, self.lines = file, lines
        self.values: dict[str, Any] = {}
        self.places: dict[str, SourcePlace] = {}
        self.rows: list[SourceLine] = []
        self.drafts: list[SectionDraft] = []
        self.long_forms: list[tuple[SourcePlace, FormTooLongError]] = []

    def read(self) -> Chart:
        """Return the chart, after reading every line."""
        for number, line in enumerate(self.lines, start=1):
            self._line(line, number)
        sections = [
            section for draft in self.drafts if (section := draft.finish(self._meter)) is not None
        ]
        if not self.drafts:
            self.problems.at(
                SourcePlace(max(1, len(self.lines)), 1),
                "this chart has no bars",
                "open a section with [A] and write bars: | F | C7 |",
            )
        self._check_names()
        self._report_long_forms(sections)
        self.problems.raise_any()
        return self._chart(tuple(sections))

    def _line(self, line: str, number: int) -> None:
        stripped = line.strip()
        bad = next((i for i, c in enumerate(line) if (c < " " and c != "\t") or c == "\x7f"), None)
        if bad is not None:
            self.problems.at(
                SourcePlace(number, bad + 1), "unexpected control character", "delete it"
            )
        elif not stripped or stripped.startswith("#"):
            self._row(SourceLine("comment", line))
        elif stripped.startswith("["):
            self._section(line, number)
        elif (key := self._key_of(line)) is not None:
            self._key_line(line, number, key)
        elif "|" in line:
            self._bars(line, number)
        else:
            self._unclear(line, number)

    def _row(self, row: SourceLine) -> None:
        if self.drafts:
            self.drafts[-1].rows.append((row, 0, 0))
        else:
            self.rows.append(row)

    def _section(self, line: str, number: int) -> None:
        stripped = line.strip()
        place = SourcePlace(number, line.index("[") + 1, len(stripped))
        name = stripped[1:-1].strip()
        if not stripped.endswith("]") or "[" in name or "]" in name:
            message = "a section opens with its name in brackets"
            if "]" in stripped.partition("]")[2]:
                hint = "chords stand in bars, | F | Dm7 |, and what is sung in a line words | ... |"
                self.problems.at(place, message, hint)
                return
            self.problems.at(place, message, "for example [A], alone in its line")
            name = stripped.partition("]")[0].strip("[ ") or "?"
        elif not name or len(name) > 60 or any(c.isspace() or c == "," for c in name):
            self.problems.at(
                place, "the name of a section is one word", "for example [A] or [Second-verse]"
            )
        elif name[:1] == "x" and name[1:].isdigit():
            self.problems.at(
                place,
                f"{name} in a form means {name[1:]} times",
                "give the section another name",
            )
        elif earlier := next((d for d in self.drafts if d.name == name), None):
            self.problems.at(
                place,
                f"section {name} is already there, in line {earlier.place.line}",
                "give this one another name",
            )
        if len(self.drafts) >= MAX_SECTIONS:
            self.problems.at(place, f"a chart has at most {MAX_SECTIONS} sections")
            self.problems.raise_any()
        self.drafts.append(SectionDraft(name, place, self.problems))
        self._row(SourceLine("section", line))

    def _key_of(self, line: str) -> str | None:
        """Return the word before the first colon where a line looks like ``key: value``."""
        word, colon, rest = line.partition(":")
        word = word.strip()
        if not colon or not word or len(word) > 30 or not _KEY_WORD.issuperset(word):
            return None
        return None if word in ALL_LANES and rest.startswith("|") else word

    def _key_line(self, line: str, number: int, word: str) -> None:
        own = SourcePlace(number, line.index(word) + 1, len(word))
        row = BY_NAME.get(word.lower())
        after = line.index(":") + 1
        value = line[after:].strip()
        if row is None:
            self.problems.at(own, f"unknown key {word!r}", self._key_hint(word, value))
            return
        if self.drafts and not row.in_sections:
            self.problems.at(
                own,
                f"{row.key} belongs above the first section",
                f"inside a section: {' '.join(IN_SECTIONS)}",
            )
            return
        if not value:
            self.problems.at(own, f"{row.key} has no value", "write one, or leave the line out")
            return
        place = SourcePlace(number, after + len(line[after:]) - len(line[after:].lstrip()) + 1)
        try:
            said = row.read(value)
        except TextError as trouble:
            self.values.setdefault(row.key, None)
            if isinstance(trouble, FormTooLongError):
                self.long_forms.append((place, trouble))
            else:
                self.problems.trouble(number, place.column, trouble)
        else:
            self._said(row, said, line, place)

    def _key_hint(self, word: str, value: str) -> str:
        """Return a hint for an unknown key: a lane, the key meant, or a section's name."""
        if word.lower().split()[0] in ALL_LANES:
            return f"a lane has no colon: {word.lower()} | ... |"
        known = IN_SECTIONS if self.drafts else tuple(BY_NAME)
        meant = OTHER_WORDS.get(word.lower())
        hint = f"did you mean {meant}?" if meant in known else nearest(word, known)
        if value or (hint.startswith("did you mean") and len(word) > 3):
            return hint
        return f"a section opens with its name in brackets: [{'-'.join(word.split())}]"

    def _said(self, row: HeaderKey, said: Any, line: str, place: SourcePlace) -> None:
        """Store the value of a key line."""
        if self.drafts:
            self.drafts[-1].add_setting(
                SourceLine("setting", line, row.key, said=row.write(said)), said, place
            )
            return
        if row.key in self.places:
            self.problems.at(
                SourcePlace(place.line, 1, len(row.key)),
                f"{row.key} is already given in line {self.places[row.key].line}",
                "leave one of the two lines out",
            )
        self.values[row.key], self.places[row.key] = said, place
        self.rows.append(SourceLine("header", line, row.key, said=row.write(said)))

    def _bars(self, line: str, number: int) -> None:
        start = line.index("|")
        start -= start > 0 and line[start - 1] == ":"
        label = line[:start].strip()
        try:
            verse = verse_lane(label)
        except TextError as trouble:
            self.problems.trouble(number, line.index(label) + 1, trouble)
            return
        if label and verse is None and label not in ALL_LANES:
            self.problems.at(
                SourcePlace(number, line.index(label) + 1, len(label)),
                f"unknown lane {shortened(label)}",
                nearest(label, ALL_LANES) if " " not in label else "bars begin with |",
            )
            return
        if not self.drafts:
            place = SourcePlace(number, 1, len(line))
            self.drafts.append(SectionDraft(IMPLIED_SECTION, place, self.problems))
        self.drafts[-1].add_bars(
            SourceLine("bars", line, verse or label or "plain", labelled=bool(label)),
            start,
            self._meter,
            self.key if self.values.get("numbers") else None,
            number,
        )
        if sum(draft.written_bars for draft in self.drafts) > MAX_WRITTEN_BARS:
            self.problems.at(
                SourcePlace(number, 1),
                f"a chart has at most {MAX_WRITTEN_BARS:,} written bars",
                "repeats (|: :|x3) and form: A x2 say the same with fewer",
            )
            self.problems.raise_any()

    @property
    def key(self) -> Key:
        """The key given so far."""
        return self.values.get("key") or Key(NoteName("C"))

    @property
    def _meter(self) -> Meter:
        return self.values.get("meter") or Meter()

    def _unclear(self, line: str, number: int) -> None:
        from porchswing.chart.language.mending import UPRIGHTS, header_meant

        place = SourcePlace(number, len(line) - len(line.lstrip()) + 1, len(line.strip()))
        inner = line.strip()[1:-1].strip()
        if line.strip()[:1] in set("({<") and inner.replace(" ", "").isalnum():
            hint = f"a section opens with its name in brackets: [{'-'.join(inner.split())}]"
        elif line.lstrip()[:1] in UPRIGHTS:
            hint = "the sign between bars is |, a plain upright line"
        elif self.drafts:
            hint = (
                "bars begin with |, words to sing with words |, a setting looks like strum: four, "
                "a comment begins with #"
            )
        elif meant := header_meant(line, self.lines[: number - 1]):
            hint = f"write {meant}"
        else:
            hint = "a header line looks like title: Lantern Street, a section opens with [A]"
        self.problems.at(place, f"cannot understand {shortened(line.strip())}", hint)

    def _check_names(self) -> None:
        """Report every name in form, intro and ending that is no section."""
        names = [draft.name for draft in self.drafts]
        for key in ("form", "intro", "ending"):
            said, place = self.values.get(key), self.places.get(key)
            if said is None or place is None:
                continue
            wanted = (said,) if isinstance(said, str) else said
            if not wanted:
                self.problems.at(place, "the form names no section")
            for name in dict.fromkeys(wanted):
                if name not in names:
                    self._unknown_section(key, name, names, place)

    def _report_long_forms(self, sections: list[Section]) -> None:
        """Report forms that play something too often, with the bars that they would be."""
        bars = {section.name: len(playing_order(section.plain)) for section in sections}
        for place, trouble in self.long_forms:
            if all(name in bars and times >= 0 for name, times in trouble.plays):
                count = sum(bars[name] * times for name, times in trouble.plays)
                shown = f"{count:,}" if count < 10**12 else "a million million or more"
                trouble.message += f"; this form would be {shown} bars"
            self.problems.trouble(place.line, place.column, trouble)

    def _unknown_section(self, key: str, name: str, names: list[str], place: SourcePlace) -> None:
        words = self.lines[place.line - 1][place.column - 1 :].replace(",", " ")
        at = f" {words} ".find(f" {name} ")
        self.problems.at(
            SourcePlace(place.line, place.column + max(0, at), len(name)),
            f"{key} names a section {shortened(name)} that is not there",
            _spaced(name, names) if key == "form" else nearest(name, names),
        )

    def _chart(self, sections: tuple[Section, ...]) -> Chart:
        given = [(BY_NAME[key], value) for key, value in self.values.items() if value is not None]
        on_chart: dict[str, Any] = {"title": "Untitled", "key": self.key} | {
            row.attribute: value for row, value in given if row.on_chart
        }
        inner = {row.attribute: value for row, value in given if not row.on_chart}
        return Chart(
            **on_chart,
            sections=sections,
            settings=Settings(**inner),
            file=self.file,
            rows=tuple(self.rows),
        )


def _spaced(name: str, names: list[str]) -> str:
    """Return a hint for a word of a form: known sections without spaces, or the nearest one."""
    match = TIMES_BEFORE.fullmatch(name)
    if match and match[2] in names:
        return f"how often stands after the name: {match[2]} x{match[1]}"
    letters = [sign for sign in name if sign.isalnum()]
    if len(letters) > 1 and names and set(letters) <= {*names, *"ABCD"}:
        return f"sections are parted by spaces: {' '.join(letters)}"
    return nearest(name, names)
