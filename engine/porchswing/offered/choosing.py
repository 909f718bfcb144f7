"""An offer for one place, and its choice made in a chart's text.

Only the token or the bar changes, all else stays as typed. A first choice in a section without a
swing lane writes that lane whole, as it sounds at the depth in force; from then on depth no longer
acts in the section.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.slots import write_slot
from porchswing.chart.model import Bar, Chart, Frets, Place, Section, Slot
from porchswing.chart.roadmap import with_onsets
from porchswing.chart.unroll import LAST_TIME, form_of
from porchswing.errors import OptionError, WrongTypeError, check_one_of, check_types
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.offered.bar_text import BarText, RowText, TextEdit, apply_edits, bars_of, rows_of
from porchswing.options import DEFAULTS, Choices
from porchswing.theory.symbols import parse_chord

KINDS = ("swap", "grip", "mark")
"""What an offer may change: the chord itself, its grip, or the way it is played."""

MARK_REASONS: tuple[tuple[str, str], ...] = (
    ("slide", "In from a fret below: the hand and the sound arrive together."),
    ("push", "An eighth early: the chord comes before its beat."),
    ("hold", "Left to ring until the next chord."),
    ("roll", "Three fingers across the strings, one after another."),
    ("chuck", "Damped as it is struck: a click without pitch."),
    ("stop", "Cut off short, then silence."),
    ("fall", "Slides down and away after the stroke."),
)
"""Every mark with one line for a teacher, in the order a player tries them.

Common practice, no source.
"""


def need_place(place: object) -> None:
    """Raise :class:`~porchswing.errors.WrongTypeError` unless a value is a place."""
    if (
        isinstance(place, tuple)
        and tuple(map(type, place[:2])) == (str, int)
        and isinstance(place[2] if len(place) == 3 else None, int | Fraction)
    ):
        return
    raise WrongTypeError(f"place must be section, bar and beat, such as ('A', 2, 1), got {place!r}")


@dataclass(frozen=True, slots=True)
class BarChords:
    """The chords of one bar: ``bar`` from 1, symbols, and lengths in quarter-note beats."""

    bar: int
    symbols: tuple[str, ...]
    beats: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class PlaceOffer:
    """One way to play a place.

    ``name`` and ``reason`` say what it is and why. A ``swap`` gives the chords of every bar it
    changes in ``bars``, the chosen one first; ``depth`` is the reharmoniser's depth that uses it,
    ``stays`` the guide tones it keeps, ``melody`` how the tune sounds over it and ``fits``
    whether the melody allows it. A ``grip`` gives the frets that are held and those that are
    locked (``None``: not locked), the work into and out of it in words and milliseconds. A
    ``mark`` gives the ``marks`` in braces. ``is_now`` is true for what the chart says already.
    """

    kind: str
    name: str
    reason: str
    bars: tuple[BarChords, ...] = ()
    depth: int | None = None
    stays: tuple[str, ...] = ()
    melody: str = ""
    fits: bool = True
    held: Frets | None = None
    frets: Frets | None = None
    before: str = ""
    after: str = ""
    before_ms: float | None = None
    after_ms: float | None = None
    marks: tuple[str, ...] = ()
    is_now: bool = False

    def __post_init__(self) -> None:
        """Check the kind."""
        check_one_of("kind", self.kind, KINDS)

    def __str__(self) -> str:
        """Return the offer in one line."""
        chords = " ".join(self.bars[0].symbols) if self.bars else ""
        return ": ".join(word for word in (chords or self.name, self.reason) if word)


def choose(text: str, place: Place, offer: PlaceOffer, choices: Choices = DEFAULTS) -> str:
    r"""Return a chart's text with an offer taken at one place.

    Parameters
    ----------
    text
        The text of a chart.
    place
        Section, bar (from 1, as written) and beat (from 1, in units of the meter).
    offer
        One of :func:`porchswing.offers` for that place.
    choices
        Its ``lane`` is the lane to write in; its ``depth`` and swaps are those at which a
        section without a swing lane sounds, and its lane is written so.

    Returns
    -------
    str
        The text, changed in that bar alone; the first choice in a section without a swing lane
        adds the whole lane.

    Raises
    ------
    ChartError
        Where the text cannot be read as a chart.
    OptionError
        Where the chart has no such place, or its language cannot write the offer.

    Examples
    --------
    >>> slide = PlaceOffer("mark", "slide", "", marks=("slide",))
    >>> choose("[A]\nplain | F | C7 |\nswing | F6 | C9 |\n", ("A", 2, 1), slide)
    '[A]\nplain | F | C7 |\nswing | F6 | C9{slide} |\n'
    """
    check_types(text=(text, str), offer=(offer, PlaceOffer), choices=(choices, Choices))
    return apply_edits(text, choice_edits(text, place, offer, choices))


def choice_edits(
    text: str, place: Place, offer: PlaceOffer, choices: Choices = DEFAULTS
) -> tuple[TextEdit, ...]:
    """Return what :func:`choose` changes, as edits of the text."""
    chart = parse_chart(text)
    section, lane = section_of(chart, place), choices.lane
    if lane == "swing" and section.swing is None:
        made = heard_chart(chart, choices)
        heard = made.section(section.name)
        changed = offered_slots(made, heard, place, offer, lane)
        lane_bars = with_slots(heard.lane(lane), changed)
        return tuple(_lane_lines(chart, rows_of(text, section), lane_bars))
    typed = bars_of(text, section, lane)
    changed = offered_slots(chart, section, place, offer, lane)
    return tuple(_bar_edits(chart, section.lane(lane), typed, changed))


def heard_chart(chart: Chart, choices: Choices) -> Chart:
    """Return the chart with the lane that is heard: in the swing lane one for every section."""
    if choices.lane != "swing":
        return chart
    return _heard(chart, choices.depth, choices.use, choices.avoid, together=choices.together)


@lru_cache(maxsize=8)
def _heard(
    chart: Chart,
    depth: int | None,
    use: tuple[str, ...],
    avoid: tuple[str, ...],
    *,
    together: bool,
) -> Chart:
    """Return a chart with the lane that is heard, kept for the places asked about one by one.

    A lane takes as long to make as all the offers for a place.
    """
    made = reharmonize(chart, depth, use, avoid, together=together).chart
    own = {heard_name(made, section.name): section.name for section in chart.sections}
    played = [replace(made.section(name), name=shown) for name, shown in own.items()]
    others = [each for each in made.sections if each.name not in {*own, *own.values()}]
    form = tuple(own.get(name, name) for name in made.form)
    return replace(made, sections=(*played, *others), form=form)


def heard_name(made: Chart, name: str) -> str:
    """Return the section of a made chart that is heard for one of the text's.

    That is its last time, where the reharmoniser made one and nothing else of it is played.
    """
    last = name + LAST_TIME
    return last if name not in form_of(made) and last in form_of(made) else name


def section_of(chart: Chart, place: Place) -> Section:
    """Return the section of a place, which must be in the chart."""
    need_place(place)
    name, bar, beat = place
    names = [section.name for section in chart.sections]
    if name not in names:
        raise OptionError(f"unknown section {name!r}; the sections are {', '.join(names)}")
    section = chart.section(name)
    if not 1 <= bar <= len(section.plain):
        raise OptionError(f"bar must be 1 to {len(section.plain)} in section {name}, got {bar}")
    if not 1 <= beat < 1 + chart.meter.count:
        raise OptionError(f"beat must be 1 to {chart.meter.count}, got {beat}")
    return section


def slot_at(chart: Chart, slots: Sequence[Slot], beat: Fraction | int) -> int:
    """Return the index of the slot that sounds at a beat, counted from 1 in units of the meter."""
    onsets = [1 + onset / chart.meter.unit_beats for onset, _ in with_onsets(slots)]
    return max(0, bisect_right(onsets, beat) - 1)


def offered_slots(
    chart: Chart, section: Section, place: Place, offer: PlaceOffer, lane: str
) -> dict[int, tuple[Slot, ...]]:
    """Return the slots of every bar that an offer changes, by bar number."""
    _, bar, beat = place
    bars = section.lane(lane)
    if offer.kind == "swap":
        return {each.bar: _chords(chart, section, bars, each) for each in offer.bars}
    slots = list(bars[bar - 1].slots)
    index = slot_at(chart, slots, beat)
    if slots[index].chord is None:
        raise OptionError(f"no chord sounds at beat {beat} of bar {bar} in {section.name}")
    if offer.kind == "grip":
        slots[index] = replace(slots[index], lock=offer.frets, fingers=())
    else:
        slots[index] = replace(slots[index], marks=offer.marks)
    return {bar: tuple(slots)}


def with_slots(bars: Sequence[Bar], changed: Mapping[int, tuple[Slot, ...]]) -> tuple[Bar, ...]:
    """Return bars with other slots in some of them, by bar number."""
    return tuple(
        replace(bar, slots=changed.get(number, bar.slots)) for number, bar in enumerate(bars, 1)
    )


def _chords(
    chart: Chart, section: Section, bars: Sequence[Bar], new: BarChords
) -> tuple[Slot, ...]:
    """Return the slots of one bar with new chords; a chord that stays keeps its lock and marks."""
    if not 1 <= new.bar <= len(bars):
        raise OptionError(f"bar must be 1 to {len(bars)} in section {section.name}, got {new.bar}")
    old = dict(with_onsets(bars[new.bar - 1].slots))
    found, at = [], Fraction(0)
    for symbol, beats in zip(new.symbols, new.beats, strict=True):
        chord = None if symbol == "N.C." else parse_chord(symbol)
        before = old.get(at)
        if before is not None and before.chord == chord:
            found.append(replace(before, beats=beats))
        else:
            found.append(Slot(chord, beats))
        at += beats
    return tuple(found)


def written_bar(chart: Chart, slots: Sequence[Slot]) -> str:
    r"""Return a bar's words: chords that share it evenly, else a slash for every further beat.

    >>> chart = parse_chart("[A]\n| F / / C |")
    >>> written_bar(chart, chart.sections[0].plain[0].slots)
    'F / / C'
    """
    units = [slot.beats / chart.meter.unit_beats for slot in slots]
    if any(unit.denominator != 1 or unit < 1 for unit in units):
        lengths = ", ".join(str(slot.beats) for slot in slots)
        raise OptionError(
            f"a bar of {chart.meter} cannot be written with chords of {lengths} beats"
        )
    is_even = all(unit == units[0] for unit in units)
    words = []
    for slot, unit in zip(slots, units, strict=True):
        words.append(write_slot(slot, chart.key, chart.numbers))
        words += [] if is_even else ["/"] * (int(unit) - 1)
    return " ".join(words)


def _bar_edits(
    chart: Chart,
    bars: Sequence[Bar],
    typed: Sequence[BarText],
    changed: dict[int, tuple[Slot, ...]],
) -> Iterator[TextEdit]:
    """Yield an edit for every bar that changes, and for a ``%`` that repeated one of them."""
    for number, slots in sorted(changed.items()):
        if slots != bars[number - 1].slots:
            yield _in_room(typed[number - 1], written_bar(chart, slots))
        following = number + 1
        repeats = following <= len(bars) and bars[following - 1].is_percent
        if repeats and following not in changed and slots != bars[number - 1].slots:
            kept = written_bar(chart, bars[number - 1].slots)
            yield _in_room(typed[following - 1], kept)


def _in_room(bar: BarText, words: str) -> TextEdit:
    """Return the edit that writes a bar; its bar line stays where it is while there is room."""
    room = bar.end - bar.start
    typed = len(" ".join(bar.words))
    space = " " if room > typed else ""
    return TextEdit(bar.start, bar.end, (words + space).ljust(room) if space else words)


def _lane_lines(chart: Chart, rows: Iterable[RowText], bars: Sequence[Bar]) -> Iterator[TextEdit]:
    """Yield the lines of a new swing lane, each below the plain bars it goes with."""
    at = 0
    for row in rows:
        if row.lane != "plain":
            continue
        own = bars[at : at + len(row.bars)]
        at += len(row.bars)
        cells = [
            written_bar(chart, bar.slots).ljust(typed.end - typed.start - 1)
            for bar, typed in zip(own, row.bars, strict=True)
        ]
        label = "swing".ljust(row.first_bar_line) if row.labelled else "swing "
        line = f"{label}| {' | '.join(cells)} |"
        yield TextEdit(row.end, row.end, row.line_ending + line)
