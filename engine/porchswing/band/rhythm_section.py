"""What bass and drums share: their changes, the pattern of every bar, and the last beat of all.

A chord is heard where it really enters and ends. Where the chart gives no pattern, the companions
of the strum play; which strain is a light one and which a full one is common practice (no source):
light under the first section, full under the bridge and from the second chorus on; slow tunes as
ballads. Every part plays its last note on one beat of the last bar.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from random import Random
from typing import Generic, NamedTuple

from porchswing.band.groove import TimedT, groove_in
from porchswing.band.places import energies, groove_bar, pick_bar, places, tune_seed
from porchswing.chart.model import Meter
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import COMPANIONS, Pattern, companion_files
from porchswing.rhythm.strum import FEELS, StrumPattern, strum_for
from porchswing.theory.chords import Chord
from porchswing.toml_table import TomlTable

BALLAD_BELOW_BPM = 72.0
"""Felt tempo under which a tune is played as a ballad."""

HEARD_MARKS = frozenset({"stop", "hold"})
"""The playing marks that the rhythm section obeys with the hand that strums."""


class Change(NamedTuple):
    """One slot of one played bar: ``onset_beats`` and ``end_beats`` count from the first bar.

    ``enters`` is false where the chord sounded before already; ``chord`` None is N.C.
    """

    onset_beats: Fraction
    end_beats: Fraction
    chord: Chord | None
    enters: bool
    marks: tuple[str, ...] = ()


class SectionBar(NamedTuple, Generic[TimedT]):
    """A played bar: its changes, its pattern's cells from its start, and how full it is."""

    start_beats: Fraction
    changes: tuple[Change, ...]
    cells: tuple[TimedT, ...]
    energy: float


def section_bars(
    part: str,
    roadmap: Roadmap,
    style: BandStyle,
    load: Callable[[str], Pattern[TimedT]],
    last_cells: Callable[[PlayedBar], tuple[TimedT, ...]],
) -> tuple[list[SectionBar[TimedT]], tuple[str, ...]]:
    """Return every bar of ``bass`` or ``drums``, and the names of what shaped them.

    ``load`` gives a pattern of the part by name; ``last_cells`` what the part plays on the last
    beat of all where its pattern has no ending.
    """
    seed = tune_seed(roadmap, style.seed)
    stands = zip(roadmap.bars, places(roadmap, loop=style.loop), energies(roadmap), strict=True)
    bars, used = [], {COMPANIONS}
    before: Chord | None = None
    for index, (bar, place, energy) in enumerate(stands):
        asked = getattr(style, part) or getattr(bar.settings, part)
        habit = _habitual(part, roadmap, bar, style)
        groove = groove_in(part, asked, habit, roadmap.meter, load)
        used.add(f"{part}/{groove.name}")
        chosen = pick_bar(groove.bars, place, style.variation, Random(f"{seed}/{part}/{index}"))
        cells = chosen.cells
        if place.last:
            ending = cells if chosen.place == "ending" else last_cells(bar)
            final = final_onset(roadmap, style)
            cells = _ended_on(ending, groove_bar(groove.bars, place).cells, final)
        changes = _changes(bar, before)
        before = changes[-1].chord if changes else before
        bars.append(SectionBar(bar.start_beats, changes, cells, energy))
    return bars, tuple(sorted(used))


def _changes(bar: PlayedBar, before: Chord | None) -> tuple[Change, ...]:
    """Return the changes of a bar; a chord written twice in it is one change."""
    changes: list[Change] = []
    for at, slot in with_onsets(bar.slots, bar.start_beats):
        end = at + slot.beats
        marks = tuple(mark for mark in slot.marks if mark in HEARD_MARKS)
        last = changes[-1] if changes else None
        if last is not None and slot.chord == last.chord and not marks and not last.marks:
            changes[-1] = last._replace(end_beats=end)
        else:
            enters = slot.chord is not None and slot.chord != before
            changes.append(Change(at, end, slot.chord, enters, marks))
        before = slot.chord
    return tuple(changes)


def _habitual(part: str, roadmap: Roadmap, bar: PlayedBar, style: BandStyle) -> str:
    """Return the pattern of ``bass`` or ``drums`` that belongs to the strum of a bar.

    A full strain is the bridge, or anything from the second chorus on.
    """
    strum = strum_for(style.strum or bar.settings.strum, roadmap.meter)
    lifts = companions_of(strum, roadmap.meter).lifts[part]
    is_slow = (style.tempo_bpm or roadmap.tempo_bpm) < BALLAD_BELOW_BPM
    first = next((b.section for b in roadmap.bars if b.role == "form"), None)
    is_full = bar.role == "form" and (bar.chorus > 1 or bar.section != first)
    return lifts.at(slow=is_slow, full=is_full)


def final_onset(roadmap: Roadmap, style: BandStyle) -> Fraction:
    """Return where in the last bar the band plays its last note, in quarters from its start.

    That is the last stroke of the strum's ending, or the bar's last chord where it enters later;
    a chord marked ``hold`` or ``stop`` has one stroke, on its own place.
    """
    bar = roadmap.bars[-1]
    pattern = strum_for(style.strum or bar.settings.strum, roadmap.meter)
    strokes = [
        cell.at
        for ending in pattern.placed("ending")[:1]
        for cell in ending.cells
        if cell.kind not in {"rest", "chuck", "ghost"}
    ]
    entry, end, marks = Fraction(0), bar.beats, frozenset[str]()
    for index, (at, slot) in enumerate(with_onsets(bar.slots)):
        if slot.chord is None:
            end = at
        elif index == 0 or slot.chord != bar.slots[index - 1].chord:
            entry, end, marks = at, bar.beats, frozenset(slot.marks)
    if marks & HEARD_MARKS:
        return entry
    return max([entry, *(stroke for stroke in strokes if stroke < end)])


def _ended_on(
    cells: Sequence[TimedT], groove: Sequence[TimedT], at: Fraction
) -> tuple[TimedT, ...]:
    """Return the cells of a last bar: the groove up to ``at``, then the ending's first beat there.

    ``cells`` are those of the ending's own bar; none of the groove's sounds beyond ``at``.
    """
    if at == 0:
        return tuple(cells)
    before = (
        replace(cell, duration_beats=min(cell.duration_beats, at - cell.onset_beats))
        for cell in groove
        if cell.onset_beats < at
    )
    last = (
        replace(cell, onset_beats=at, duration_beats=max(cell.duration_beats - at, Fraction(1, 4)))
        for cell in cells
        if cell.onset_beats == 0
    )
    return (*before, *last)


# --- which bass and drums belong to a strum ------------------------------------------------

ANY_METERS = {"n/4": 4, "n/8": 8}
"""Meters of rows that hold for every meter of a unit."""


class Lifts(NamedTuple):
    """Pattern names of one part: light strains, full ones, slow tunes, full strains of those."""

    light: str
    full: str
    slow: str
    slow_full: str

    def at(self, *, slow: bool, full: bool) -> str:
        """Return the pattern of a strain.

        >>> Lifts("two", "walk", "ballad", "ballad").at(slow=False, full=True)
        'walk'
        """
        if slow:
            return self.slow_full if full else self.slow
        return self.full if full else self.light


class Companions(NamedTuple):
    """One row: the strums it holds for (empty: all of its meter and feel), and their lifts."""

    meter: str
    feel: str
    strums: tuple[str, ...]
    lifts: Mapping[str, Lifts]

    def fits(self, strum: StrumPattern, meter: Meter) -> bool:
        """Whether the row holds for a strum in a meter."""
        if self.meter in ANY_METERS:
            return ANY_METERS[self.meter] == meter.unit
        if self.meter != str(meter):
            return False
        return strum.name in self.strums if self.strums else self.feel == strum.feel


@lru_cache(maxsize=1)
def companion_rows() -> tuple[Companions, ...]:
    """Return every row of ``patterns/companions.toml``, a player's own before ours."""
    return tuple(_row(row) for data in companion_files() for row in data.tables("companions"))


def companions_of(strum: StrumPattern, meter: Meter) -> Companions:
    """Return the row that holds for a strum in a meter.

    >>> from porchswing.rhythm.strum import load_strum
    >>> companions_of(load_strum("bossa"), Meter(4, 4)).lifts["drums"].light
    'bossa'
    """
    return next(row for row in companion_rows() if row.fits(strum, meter))


def _row(row: TomlTable) -> Companions:
    row.allow_only(("meter", "feel", "strums", "bass", "drums"))
    strums = row.texts("strums") if row.values.get("strums") else ()
    lifts = {part: _lifts(row.table(part)) for part in ("bass", "drums")}
    return Companions(row.text("meter"), row.choice("feel", None, FEELS), strums, lifts)


def _lifts(table: TomlTable) -> Lifts:
    """Return the pattern names of one part; ``slow_full`` defaults to ``slow``."""
    table.allow_only(Lifts._fields)
    slow = table.text("slow")
    return Lifts(table.text("light"), table.text("full"), slow, table.text("slow_full", slow))
