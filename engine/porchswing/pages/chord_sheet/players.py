"""A chord sheet for others in the room: grips on their strings, a bass's roots, parts in a key.

Sounding a major second, a major sixth or a perfect fifth lower than written is what an instrument
in B flat, E flat or F does: common practice. A guitar plays its four inner strings, muted at the
sides, rather than six-string barres: ours, after the swing rhythm guitar's small chords.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from porchswing.chart.language.problems import nearest
from porchswing.chart.model import Bar, Chart
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import section_title
from porchswing.errors import OptionError
from porchswing.grips.search.voice import chart_of, voice
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead
from porchswing.pages.chord_sheet.chord_sheet import ChordSheet, SheetSection, chord_sheet, in_lines
from porchswing.theory.keys import Key, simplified
from porchswing.theory.notes import Degree, note_at


@dataclass(frozen=True, slots=True)
class Player:
    """Who a sheet is for: the ``tuning`` of the grips, or ``rises`` (written above sounding).

    With neither, the bass: the root, or the bass of a slash chord.
    """

    name: str
    tuning: str = ""
    rises: str = ""


PLAYERS: tuple[Player, ...] = (
    Player("ukulele", tuning="gCEA"),
    Player("low-G", tuning="GCEA"),
    Player("baritone", tuning="DGBE"),
    Player("guitar", tuning="guitar 5432"),
    Player("bass"),
    Player("Bb", rises="2"),
    Player("Eb", rises="6"),
    Player("F", rises="5"),
)
"""Everyone a sheet may be for."""


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
    lead: Lead | Chart, lane: str, players: tuple[Player, ...], grips: str | None = None
) -> ChordSheet:
    """Return one sheet with every section for each player in turn."""
    whole = chord_sheet(lead, lane)
    rows: list[SheetSection] = []
    for player in players:
        rows += _sections(chart_of(lead), lane, player, grips)
    return replace(whole, sections=tuple(rows))


def _sections(chart: Chart, lane: str, player: Player, grips: str | None) -> list[SheetSection]:
    if player.rises:
        tonic = simplified(note_at(chart.key.tonic, Degree.parse(player.rises)))
        key = Key(tonic, chart.key.mode)
        rows = chord_sheet(transpose(chart, key), lane).sections
        return [SheetSection(f"{row.name}, {player.name} part in {key}", row.lines) for row in rows]
    voicing = voice(chart, player.tuning, lane, grips) if player.tuning else None
    found = []
    for section in chart.sections:
        words = [
            _gripped(voicing, section.name, number) if voicing else _roots(bar)
            for number, bar in enumerate(section.lane(lane), 1)
        ]
        title = section_title(chart, section.name)
        what = voicing.tuning.name if voicing else "roots"
        found.append(SheetSection(f"{title}, {player.name}: {what}", in_lines(words, section)))
    return found


def _gripped(voicing: Voicing, section: str, bar: int) -> str:
    slots = [s for s in voicing.slots if (s.section, s.bar) == (section, bar)]
    return "  ".join(f"{s.chord} {s.grip}" if s.grip else "N.C." for s in slots)


def _roots(bar: Bar) -> str:
    return " ".join(str(slot.chord.bass_note) if slot.chord else "-" for slot in bar.slots)
