"""A chord sheet for others in the room: grips on their strings, a bass's part, parts in a key.

Sounding a major second, a major sixth or a perfect fifth lower than written is what an instrument
in B flat, E flat or F does: common practice. A guitar plays three or four inner strings, the
others muted, rather than six-string barres: ours, after the swing rhythm guitar's small chords.
A bass has its roots first, then a walk: the notes that our own band's bass would play. Who strums
may sing: words are printed under grips, not in the parts of basses and horns.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from porchswing.band.bass.bass_part import bass_part
from porchswing.band.compose import seeded
from porchswing.band.score import Pluck
from porchswing.chart.language.problems import nearest
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import PlayedBar, with_onsets
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import section_title, unroll
from porchswing.errors import OptionError
from porchswing.grips.search.voice import chart_of, voice
from porchswing.harmony.choice.lead import Lead
from porchswing.options import BandStyle
from porchswing.pages.chord_sheet.chord_sheet import (
    ChordSection,
    ChordSheet,
    chord_sheet,
    in_lines,
    sheet_section,
)
from porchswing.theory.keys import Key, simplified, spell_pc
from porchswing.theory.notes import Degree, note_at


@dataclass(frozen=True, slots=True)
class Player:
    """Who a sheet is for: the ``tuning`` of the grips, or ``rises`` (written above sounding).

    With neither, the bass: the root, or the bass of a slash chord, then a walk. ``mutes`` lets
    strings of the tuning be muted.
    """

    name: str
    tuning: str = ""
    rises: str = ""
    mutes: bool = False


PLAYERS: tuple[Player, ...] = (
    Player("ukulele", tuning="gCEA"),
    Player("low-G", tuning="GCEA"),
    Player("baritone", tuning="DGBE"),
    Player("guitar", tuning="guitar 5432", mutes=True),
    Player("bass"),
    Player("Bb", rises="2"),
    Player("Eb", rises="6"),
    Player("F", rises="5"),
)
"""Everyone a sheet may be for."""


WALKS = {"4/4": "walk", "3/4": "waltz_walk"}
"""The bass pattern of a walk by meter."""

FAR_SEMITONES = 6
"""Largest leap to the nearest note of a name: the other one is as far or farther."""


def read_players(text: str) -> tuple[Player, ...]:
    """Read names divided by commas.

    >>> [player.name for player in read_players("low-g, bass")]
    ['low-G', 'bass']
    """
    known = {player.name.lower(): player for player in PLAYERS}
    found: dict[str, Player] = {}
    for word in text.split(","):
        name = word.strip()
        if name.lower() not in known:
            names = [player.name for player in PLAYERS]
            raise OptionError(f"unknown player {name!r}; {nearest(name, names)}")
        found[name.lower()] = known[name.lower()]
    return tuple(found.values())


def players_sheet(
    lead: Lead | Chart, lane: str, players: tuple[Player, ...], *, mutes: bool = False
) -> ChordSheet:
    """Return one sheet with every section for each player in turn.

    ``mutes`` lets strings be muted on every instrument.
    """
    rows = tuple(
        row
        for player in players
        for row in _sections(chart_of(lead), lane, replace(player, mutes=player.mutes or mutes))
    )
    return replace(chord_sheet(lead, lane), sections=rows)


def _sections(chart: Chart, lane: str, player: Player) -> list[ChordSection]:
    if player.rises:
        tonic = simplified(note_at(chart.key.tonic, Degree.parse(player.rises)))
        key = Key(tonic, chart.key.mode)
        return [
            ChordSection(f"{row.name}, {player.name} part in {key}", row.lines)
            for row in chord_sheet(transpose(chart, key), lane).sections
        ]
    if not player.tuning:
        return _bass_sections(chart, lane, player.name)
    voicing = voice(chart, player.tuning, lane, mutes=player.mutes)
    found = []
    for section in chart.sections:
        bars = section.lane(lane)
        names: list[list[str]] = [[] for _ in bars]
        for slot in voicing.slots:
            if slot.section == section.name:
                names[slot.bar - 1].append(f"{slot.chord} {slot.grip}" if slot.grip else "N.C.")
        words = ["  ".join(bar) for bar in names]
        title = f"{section_title(chart, section.name)}, {player.name}: {voicing.tuning.name}"
        found.append(sheet_section(title, section, bars, words, names))
    return found


def _bass_sections(chart: Chart, lane: str, name: str) -> list[ChordSection]:
    """Return the roots of every section, then a walk through every section that is played."""
    walk = walked(chart, lane)
    roots, walks = [], []
    for section in chart.sections:
        title = section_title(chart, section.name)
        bars = section.lane(lane)
        words = [
            " ".join(str(slot.chord.bass_note) if slot.chord else "-" for slot in bar.slots)
            for bar in bars
        ]
        roots.append(ChordSection(f"{title}, {name}: roots", in_lines(words, section)))
        steps = [walk.get((section.name, number)) for number in range(1, len(bars) + 1)]
        if any(steps):
            words = [step or "-" for step in steps]
            walks.append(ChordSection(f"{title}, {name}: a walk", in_lines(words, section)))
    return [*roots, *walks]


def walked(chart: Chart, lane: str) -> dict[tuple[str, int], str]:
    """Return a walk by section and bar: the names of its notes, the first time the bar is played.

    An arrow comes before a note that is not the nearest of its name. Meters without a walk have
    the bass that the band would play.
    """
    road = unroll(chart, lane)
    style = seeded(BandStyle(bass=WALKS.get(str(chart.meter)), variation=0.0), chart)
    events = bass_part(road, style, chart.key).events
    plucks = [pluck for pluck in events if isinstance(pluck, Pluck)]
    found: dict[tuple[str, int], str] = {}
    last: int | None = None
    for bar in road.bars:
        words = []
        for pluck in plucks:
            if bar.start_beats <= pluck.onset_beats < bar.start_beats + bar.beats:
                words.append(_step(pluck, bar, last, chart.key))
                last = pluck.pitch
        found.setdefault((bar.section, bar.bar), " ".join(words))
    return found


def _step(pluck: Pluck, bar: PlayedBar, last: int | None, key: Key) -> str:
    """Return a note's name as its chord spells it, behind an arrow where it leaps far."""
    begun = [
        slot.chord
        for at, slot in with_onsets(bar.slots, bar.start_beats)
        if at <= pluck.onset_beats
    ]
    leap = 0 if last is None else pluck.pitch - last
    arrow = "" if abs(leap) <= FAR_SEMITONES else "↑" if leap > 0 else "↓"
    return f"{arrow}{spell_pc(pluck.pitch % 12, begun[-1], key)}"
