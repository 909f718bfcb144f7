"""The bass part: a style's words set over the changes, then the best line through them."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from porchswing.band.bass.bass_line import best_line
from porchswing.band.bass.bass_notes import BassOnset
from porchswing.band.bass.bass_style import BassCell, load_bass_style
from porchswing.band.changes import Change, changes_by_bar
from porchswing.band.ending import ended_on, final_onset
from porchswing.band.groove import Groove, groove_in
from porchswing.band.habits import habitual
from porchswing.band.places import BarPlace, breathing, groove_bar, pick_bar, places
from porchswing.band.score import PartScore, Pluck
from porchswing.band.tune_seed import with_tune_seed
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.patterns import COMPANIONS
from porchswing.rhythm.phrase import energies
from porchswing.theory.keys import Key

ENTRY_VELOCITY = 0.7
STOP_BEATS = Fraction(1, 2)
"""Under ``{stop}`` the band plays the chord this short and rests until the next."""

DEFAULT_KEY = Key.parse("C")


def bass_part(roadmap: Roadmap, style: BandStyle, key: Key = DEFAULT_KEY) -> PartScore:
    """Return what the bass plays through a roadmap.

    ``key`` decides which scale tones the line passes through and which note a pedal holds.
    The part depends on the roadmap, the key, the seed, the strum's companions and
    ``style.bass``, ``style.variation`` and ``style.tempo_bpm`` alone.
    """
    style = with_tune_seed(style, roadmap)
    stands = places(roadmap, loop=style.loop)
    final = final_onset(roadmap, style) if roadmap.bars else Fraction(0)
    spots: list[BassOnset] = []
    used = {COMPANIONS}
    for index, changes in enumerate(changes_by_bar(roadmap)):
        bar = roadmap.bars[index]
        habit = habitual("bass", roadmap, bar, style)
        asked = style.bass or bar.settings.bass
        pattern = groove_in("bass", asked, habit, roadmap.meter, load_bass_style)
        used.add(f"bass/{pattern.name}")
        cells = _cells(pattern, stands[index], style, index, bar, final)
        spots.extend(_spots(changes, cells, index))
    pitches = best_line(spots, key, style.seed or 0)
    fullness = energies(roadmap)
    plucks = (
        Pluck(
            spot.onset_beats,
            spot.duration_beats,
            pitch,
            breathing(spot.velocity, fullness[spot.bar]),
        )
        for spot, pitch in zip(spots, pitches, strict=True)
    )
    return PartScore("bass", tuple(plucks), "bass", tuple(sorted(used)))


def _cells(
    pattern: Groove[BassCell],
    place: BarPlace,
    style: BandStyle,
    index: int,
    bar: PlayedBar,
    final: Fraction,
) -> tuple[BassCell, ...]:
    """Return the pattern's notes for a bar; the last bar of all ends on the band's last beat."""
    chance = Random(f"{style.seed}/bass/{index}")
    chosen = pick_bar(pattern.bars, place, style.variation, chance)
    if not place.last:
        return chosen.cells
    ending = chosen.cells
    if chosen.place != "ending":
        ending = (BassCell(Fraction(0), bar.beats, "root", ENTRY_VELOCITY),)
    return ended_on(ending, groove_bar(pattern.bars, place).cells, final)


def _spots(changes: tuple[Change, ...], cells: tuple[BassCell, ...], index: int) -> list[BassOnset]:
    """Set one bar's words over its changes: every entry sounds, N.C. and stops are silent."""
    spots: list[BassOnset] = []
    start = changes[0].onset_beats if changes else Fraction(0)
    for change in changes:
        chord = change.chord
        if chord is None:
            continue
        at, end = change.onset_beats - start, change.end_beats - start  # in the bar
        inside = [cell for cell in cells if at <= cell.onset_beats < end]
        if "stop" in change.marks or "hold" in change.marks:
            length = end - at
            if "stop" in change.marks:
                length = min(length, STOP_BEATS)
            inside = [BassCell(at, length, "root", ENTRY_VELOCITY)]
        elif change.enters and not (inside and inside[0].onset_beats == at):
            length = (inside[0].onset_beats if inside else end) - at
            inside.insert(0, BassCell(at, length, "root", ENTRY_VELOCITY))
        spots.extend(
            BassOnset(
                onset_beats=start + cell.onset_beats,
                duration_beats=min(cell.duration_beats, end - cell.onset_beats),
                word=cell.word,
                velocity=cell.velocity,
                chord=chord,
                bar=index,
                entry=change.enters and cell.onset_beats == at,
            )
            for cell in inside
        )
    return spots
