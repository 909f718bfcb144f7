"""The bass part: a style's words set over the changes, then the best line through them."""

from __future__ import annotations

from fractions import Fraction

from porchswing.band.bass.bass_line import best_line
from porchswing.band.bass.bass_notes import BassOnset
from porchswing.band.bass.bass_style import BassCell, load_bass_style
from porchswing.band.places import breathing
from porchswing.band.rhythm_section import SectionBar, section_bars
from porchswing.band.score import PartScore, Pluck
from porchswing.band.tune_seed import tune_seed
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
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
    bars, used = section_bars("bass", roadmap, style, load_bass_style, _last_note)
    spots = [spot for index, bar in enumerate(bars) for spot in _spots(bar, index)]
    pitches = best_line(spots, key, tune_seed(roadmap, style.seed))
    plucks = (
        Pluck(
            spot.onset_beats,
            spot.duration_beats,
            pitch,
            breathing(spot.velocity, bars[spot.bar].energy),
        )
        for spot, pitch in zip(spots, pitches, strict=True)
    )
    return PartScore("bass", tuple(plucks), "bass", used)


def _last_note(bar: PlayedBar) -> tuple[BassCell, ...]:
    return (BassCell(Fraction(0), bar.beats, "root", ENTRY_VELOCITY),)


def _spots(bar: SectionBar[BassCell], index: int) -> list[BassOnset]:
    """Set one bar's words over its changes: every entry sounds, N.C. and stops are silent."""
    spots: list[BassOnset] = []
    start = bar.start_beats
    for change in bar.changes:
        chord = change.chord
        if chord is None:
            continue
        at, end = change.onset_beats - start, change.end_beats - start  # in the bar
        inside = [cell for cell in bar.cells if at <= cell.onset_beats < end]
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
