"""Writing a chart as text.

A line as typed stays as typed for as long as the chart still says what it said, so comments
and a teacher's own layout survive every change made elsewhere; everything else is written in
the canonical layout: keys in a fixed order, bars four to a line, bar lines below each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from porchswing.chart.language.bars import write_barlines
from porchswing.chart.language.header import header_values, setting_values
from porchswing.chart.language.melody_lane import write_note
from porchswing.chart.language.slots import write_slot
from porchswing.chart.language.words_lane import lane_of_verse, verse_number, write_words
from porchswing.chart.model import LANES, Bar, Chart, Section, SourceLine
from porchswing.errors import check_types
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

BARS_PER_LINE = 4
READABLE_WIDTH = 120
"""Most characters of a line whose bars are lined up with a melody or with words."""
_KEY_WIDTH = 7

_DEFAULTS = header_values(Chart("Untitled", Key(NoteName("C")), ()))


def write_chart(chart: Chart) -> str:
    r"""Return a chart as text that reads back as the same chart.

    Parameters
    ----------
    chart
        The chart; lines as typed stay as typed while the chart still says the same.

    Returns
    -------
    str
        The text of a ``.changes`` file, ending with a line break.

    Examples
    --------
    >>> from porchswing.chart.language.reader import parse_chart
    >>> write_chart(parse_chart("key:G\n[A]\n|G  D7|G|\n"))
    'key:G\n[A]\n|G  D7|G|\n'
    """
    check_types(chart=(chart, Chart))
    lines = list(_header_lines(chart))
    for section in chart.sections:
        if _still_says(section):
            lines += [row.text for row in section.rows]
            continue
        before = lines[-1].strip() if lines else ""
        if before and not (section.rows and before.startswith("#")):  # it may be about the section
            lines.append("")
        lines += _section_lines(section, chart)
    return "\n".join(lines) + "\n"


def _header_lines(chart: Chart) -> Iterator[str]:
    """Yield header lines: as typed where they still hold, then what was added since."""
    values = header_values(chart)
    typed = {row.key: row for row in chart.rows if row.kind == "header"}
    new = [  # what is not the default
        key
        for key, value in values.items()
        if key not in typed and value != "" and value != _DEFAULTS.get(key)
    ]
    last = max((i for i, row in enumerate(chart.rows) if row.kind == "header"), default=-1)
    if last < 0:
        yield from (_key_line(key, values[key]) for key in new)
    for index, row in enumerate(chart.rows):
        if row.kind == "comment":
            yield row.text
        elif row.key in values:
            said = values[row.key]
            yield row.text if row.said == said else _key_line(row.key, said)
        if index == last:
            yield from (_key_line(key, values[key]) for key in new)


def _key_line(key: str, value: str) -> str:
    return f"{key + ':':<{_KEY_WIDTH}} {value}"


@dataclass(frozen=True, slots=True)
class _Block:
    """Bars of one lane that share a line, by their indices."""

    lane: str
    bars: range


def _section_lines(section: Section, chart: Chart) -> Iterator[str]:
    """Yield the lines of a section that is written anew."""
    typed = [row for row in section.rows if row.kind == "section"]
    holds = typed and typed[0].text.strip().strip("[]").strip() == section.name
    head = typed[0].text if holds else f"[{section.name}]"
    entries = _laid_out(section)
    texts = iter(_block_texts(section, chart, [e for e in entries if isinstance(e, _Block)]))
    if not typed:
        yield head
    for entry in entries:
        if isinstance(entry, _Block):
            yield next(texts)
        elif isinstance(entry, SourceLine):
            yield head if entry.kind == "section" else entry.text
        else:
            yield entry


def _still_says(section: Section) -> bool:
    """Whether the lines as typed mean exactly what the section holds."""
    said: dict[str, list[object]] = {}
    settings: list[tuple[int, str, str]] = []
    lane = "plain"
    name = section.name
    for row in section.rows:
        if row.kind == "bars":
            lane = row.key
            said.setdefault(lane, []).extend(row.said)
        elif row.kind == "setting":
            settings.append((len(said.get(lane, [])), row.key, str(row.said)))
        elif row.kind == "section":
            name = row.text.strip().strip("[]").strip()
    return (
        bool(section.rows)
        and name == section.name
        and said == {lane: list(bars) for lane, bars in _lanes(section).items()}
        and sorted(settings) == sorted(_settings(section))
    )


def _lanes(section: Section) -> dict[str, Sequence[object]]:
    """Return the bars of every lane that a section has."""
    lanes = {
        "plain": section.plain,
        "swing": section.swing,
        "melody": section.melody,
        **{lane_of_verse(number): verse for number, verse in enumerate(section.words, 1)},
    }
    return {lane: bars for lane, bars in lanes.items() if bars is not None}


def _settings(section: Section) -> list[tuple[int, str, str]]:
    """Return every setting of a section as bar index, key and canonical value."""
    return [
        (start, key, value)
        for start, settings in section.settings
        for key, value in setting_values(settings).items()
    ]


def _laid_out(section: Section) -> list[_Block | SourceLine | str]:
    """Return the entries of a section that must be written anew, comments in their places."""
    count = len(section.plain)
    typed = [r for r in section.rows if r.kind == "bars" and r.key == "plain"]
    sizes = [len(row.said) for row in typed]
    if not typed or sum(sizes) != count:
        sizes = [min(BARS_PER_LINE, count - at) for at in range(0, count, BARS_PER_LINE)]
    pending = _settings(section)
    lanes = tuple(_lanes(section))
    entries: list[_Block | SourceLine | str] = []
    at = 0

    def blocks(size: int) -> Iterator[_Block | str]:
        """Yield one line of every lane, split where a setting begins."""
        nonlocal at
        end = at + size
        while at < end:
            while pending and pending[0][0] <= at:
                yield _key_line(*pending.pop(0)[1:])
            stop = min([end, *(start for start, _, _ in pending[:1])])
            yield from (_Block(lane, range(at, stop)) for lane in lanes)
            at = stop

    trailing: list[SourceLine] = []
    for row in section.rows:
        if row.kind == "bars" and row.key == "plain" and sizes:
            entries.extend(trailing)
            trailing = []
            entries.extend(blocks(sizes.pop(0)))
        elif row.kind == "section":
            entries.append(row)
        elif row.kind == "comment":
            trailing.append(row)
    for size in sizes:
        entries.extend(blocks(size))
    return [*entries, *trailing]


def _block_texts(section: Section, chart: Chart, blocks: Sequence[_Block]) -> list[str]:
    """Return the text of every block, bar lines below each other.

    Those of melody and words too, as long as the lines stay short enough to be read.
    """
    cells = [_cells(section, chart, block) for block in blocks]
    label_width = max((len(block.lane) for block in blocks), default=0) + 1
    lined_up = {block.lane for block in blocks}
    widths = _widths(cells)
    if label_width + sum(width + 3 for width in widths) + 1 > READABLE_WIDTH:
        lined_up &= set(LANES)
        widths = _widths(
            row for row, block in zip(cells, blocks, strict=True) if block.lane in LANES
        )
    has_labels = len(_lanes(section)) > 1
    texts: list[str] = []
    for row, block in zip(cells, blocks, strict=True):
        if block.lane in lined_up:
            row = [text.ljust(width) for text, width in zip(row, widths, strict=False)]
        label = block.lane.ljust(label_width) if has_labels else ""
        texts.append(label + _joined(section, block, row))
    return texts


def _widths(rows: Iterable[Sequence[str]]) -> list[int]:
    return [max(map(len, column)) for column in zip_longest(*rows, fillvalue="")]


def _cells(section: Section, chart: Chart, block: _Block) -> list[str]:
    """Return what stands between the bar lines of a block."""
    if block.lane == "melody":
        notes = [(section.melody or ())[index] for index in block.bars]
        return [" ".join(write_note(n, chart.meter, chart.key) for n in bar) for bar in notes]
    if verse := verse_number(block.lane):
        words, melody = section.words[verse - 1], section.melody
        return [
            write_words(words[index], chart.meter, melody[index] if melody else None)
            for index in block.bars
        ]
    bars = section.lane(block.lane)
    return [_bar_text(bars, index, chart) for index in block.bars]


def _joined(section: Section, block: _Block, cells: list[str]) -> str:
    """Join cells by their bar lines."""
    if block.lane not in LANES:
        return f"| {' | '.join(cells)} |"
    shown = section.lane(block.lane)[block.bars.start : block.bars.stop]
    text = write_barlines(None, shown[0])
    for cell, bar, following in zip_longest(cells, shown, shown[1:]):
        text += f" {cell} {write_barlines(bar, following)}"
    return text


def _bar_text(bars: Sequence[Bar], index: int, chart: Chart) -> str:
    """Return the words of one bar."""
    bar = bars[index]
    if bar.is_percent and index and bar.slots == bars[index - 1].slots:
        return "%"
    units = [slot.beats / chart.meter.unit_beats for slot in bar.slots]
    if any(unit.denominator != 1 for unit in units) or bar.beats != chart.meter.bar_beats:
        lengths = " ".join(str(unit) for unit in units)
        raise ValueError(f"the chart language has no bar of {chart.meter} with beats {lengths}")
    words = [write_slot(slot, chart.key, chart.numbers) for slot in bar.slots]
    if all(unit == units[0] for unit in units):
        return " ".join(words)
    return " ".join(w + " /" * (int(unit) - 1) for w, unit in zip(words, units, strict=True))
