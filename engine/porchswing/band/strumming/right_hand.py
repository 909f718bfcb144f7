"""The right hand: which strokes of the pattern are played, and which changes come early.

The pattern's bars are joined by their places; fillers come and go with density, variation and
the phrase; changes are pushed where the pattern asks for it or the generator likes to. Nothing
here is timed finer than the written beat.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from random import Random
from typing import NamedTuple

from porchswing.band.places import BarPlace, energies, pick_bar, places
from porchswing.band.strumming.grip_spans import PUSH_BEATS, Held, can_push, push
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.options import BandStyle
from porchswing.rhythm.strum import StrumCell, StrumPattern, strum_for

MIDDLE = 0.5
"""Where density plus the phrase's lift must reach for a filler to be played."""

ENERGY_TO_DENSITY = 1.5
THIN_BELOW = 0.22
"""Below this density light off-beat strokes are left out too."""

BREATH_CHANCE = 0.5
"""How often, at full variation, the hand rests at the end of a four-bar phrase."""


class PlacedStroke(NamedTuple):
    """One thing the right hand does: a pattern cell at ``onset_beats``, in played bar ``bar``."""

    onset_beats: Fraction
    cell: StrumCell
    bar: int


class BarPlan(NamedTuple):
    """What the hand means to do in one played bar: the pattern in force and its chosen moves."""

    start_beats: Fraction
    pattern: StrumPattern
    energy: float
    is_last: bool
    moves: tuple[PlacedStroke, ...]


def bar_plans(roadmap: Roadmap, style: BandStyle) -> tuple[BarPlan, ...]:
    """Choose the moves of every played bar; the same seed chooses the same."""
    plans = []
    stands = zip(roadmap.bars, places(roadmap, loop=style.loop), energies(roadmap), strict=True)
    for index, (bar, place, energy) in enumerate(stands):
        pattern = strum_for(style.strum or bar.settings.strum, roadmap.meter)
        chance = Random(f"{style.seed}/chords/{index}")
        moves = _moves(pattern, bar, index, place, energy, style, chance)
        plans.append(BarPlan(bar.start_beats, pattern, energy, place.last, moves))
    return tuple(plans)


def _moves(
    pattern: StrumPattern,
    bar: PlayedBar,
    index: int,
    place: BarPlace,
    energy: float,
    style: BandStyle,
    chance: Random,
) -> tuple[PlacedStroke, ...]:
    chosen = pick_bar(pattern.bars, place, style.variation, chance)
    lift = style.density + ENERGY_TO_DENSITY * energy
    cells = []
    for cell in chosen.cells:
        wanted = lift + (chance.random() - 0.5) * style.variation
        is_left_out = (cell.is_filler and wanted < MIDDLE) or (
            _is_light(cell) and wanted < THIN_BELOW
        )
        if not is_left_out:
            cells.append(cell)
    breathes = chance.random() < BREATH_CHANCE * style.variation
    if breathes and place.index % 4 == 3 and not (place.section_end or place.last):
        cells = _breath(cells, bar.beats)
    if place.last and chosen.place != "ending":
        cells = cells[:1]
    return tuple(PlacedStroke(bar.start_beats + cell.at, cell, index) for cell in cells)


def _is_light(cell: StrumCell) -> bool:
    return cell.kind == "strum" and cell.loudness < 0.5 and cell.at.denominator > 1


def _breath(cells: list[StrumCell], bar_beats: Fraction) -> list[StrumCell]:
    """Leave out the light strokes of the bar's second half."""
    half = bar_beats / 2
    kept = [cell for cell in cells if cell.at < half or not (_is_light(cell) or cell.is_filler)]
    return kept or cells


def with_pushes(
    changes: Sequence[Held], plans: Sequence[BarPlan], roadmap: Roadmap, style: BandStyle
) -> list[Held]:
    """Make changes come early where a pattern's ``+`` marks it or the generator chooses it."""
    pushed = list(changes)
    ahead = {move.onset_beats for plan in plans for move in plan.moves if move.cell.is_ahead}
    starts = {bar.start_beats for bar in roadmap.bars[1:]}
    for index in range(1, len(pushed)):
        change = pushed[index]
        if "stop" in change.marks or not can_push(pushed, index):
            continue
        is_ahead = bool(ahead) and change.onset_beats - PUSH_BEATS in ahead
        if is_ahead or (change.onset_beats in starts and _leans_forward(plans, change.bar, style)):
            push(pushed, index)
    return pushed


def _leans_forward(plans: Sequence[BarPlan], bar: int, style: BandStyle) -> bool:
    """Say whether the hand happens to bring in the first chord of a bar early."""
    readiness = plans[bar].pattern.push * style.variation
    if plans[bar].is_last or not readiness:
        return False
    return Random(f"{style.seed}/chords/push/{bar}").random() < readiness
