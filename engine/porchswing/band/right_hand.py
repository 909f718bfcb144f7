"""The right hand: which strokes of the pattern are played, and which chord each one sounds.

The pattern's bars are joined by their places; fillers come and go with density, variation and
the phrase; a change that enters early is pushed by the hand that plays it; every change gets a
stroke of its own. Nothing here is timed finer than the written beat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from porchswing.band.held import PUSH_BEATS, Held, can_push, push
from porchswing.band.places import Place, pick_bar, places
from porchswing.band.style import BandStyle
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.rhythm.phrase import energies
from porchswing.rhythm.strum import Cell, StrumPattern, strum_for

MIDDLE = 0.5
"""Where density plus the phrase's lift must reach for a filler to be played."""

ENERGY_TO_DENSITY = 1.5
THIN_BELOW = 0.22
"""Below this density light off-beat strokes are left out too."""

BREATH_CHANCE = 0.5
"""How often, at full variation, the hand rests at the end of a four-bar phrase."""

PUSH_LOUDNESS = 0.6


@dataclass(frozen=True, slots=True)
class Move:
    """One thing the right hand does: a pattern cell at ``onset_beats``, in played bar ``bar``."""

    onset_beats: Fraction
    cell: Cell
    bar: int


@dataclass(frozen=True, slots=True)
class BarPlan:
    """What the hand means to do in one played bar: the pattern in force and its chosen moves."""

    pattern: StrumPattern
    energy: float
    is_last: bool
    moves: tuple[Move, ...]


def bar_plans(roadmap: Roadmap, style: BandStyle) -> tuple[BarPlan, ...]:
    """Choose the moves of every played bar; the same seed chooses the same."""
    plans = []
    stands = zip(roadmap.bars, places(roadmap, loop=style.loop), energies(roadmap), strict=True)
    for index, (bar, place, energy) in enumerate(stands):
        pattern = strum_for(style.strum or bar.settings.strum, roadmap.meter)
        chance = Random(f"{style.seed}/chords/{index}")
        moves = _moves(pattern, bar, index, place, energy, style, chance)
        plans.append(BarPlan(pattern, energy, place.last, moves))
    return tuple(plans)


def _moves(
    pattern: StrumPattern,
    bar: PlayedBar,
    index: int,
    place: Place,
    energy: float,
    style: BandStyle,
    chance: Random,
) -> tuple[Move, ...]:
    chosen = pick_bar(pattern.bars, place, style.variation, chance)
    lift = style.density + ENERGY_TO_DENSITY * energy
    cells = []
    for cell in chosen.cells:
        wanted = lift + (chance.random() - 0.5) * style.variation
        if cell.is_filler and wanted < MIDDLE:
            continue
        if _is_light(cell) and wanted < THIN_BELOW:
            continue
        cells.append(cell)
    breathes = chance.random() < BREATH_CHANCE * style.variation
    if breathes and place.index % 4 == 3 and not (place.section_end or place.last):
        cells = _breath(cells, bar.beats)
    if place.last and chosen.place != "ending":
        cells = cells[:1]
    return tuple(Move(bar.start_beats + cell.at, cell, index) for cell in cells)


def _is_light(cell: Cell) -> bool:
    return cell.kind == "strum" and cell.loudness < 0.5 and cell.at.denominator > 1


def _breath(cells: list[Cell], bar_beats: Fraction) -> list[Cell]:
    """Leave out the light strokes of the bar's second half."""
    half = bar_beats / 2
    kept = [cell for cell in cells if cell.at < half or not (_is_light(cell) or cell.is_filler)]
    return kept or cells


def with_pushes(
    changes: Sequence[Held], plans: Sequence[BarPlan], roadmap: Roadmap, style: BandStyle
) -> list[Held]:
    """Let changes come early where a pattern's ``+`` asks for it or the generator likes to."""
    pushed = list(changes)
    ahead = {move.onset_beats for plan in plans for move in plan.moves if move.cell.is_ahead}
    starts = {bar.start_beats for bar in roadmap.bars[1:]}
    for index in range(1, len(pushed)):
        change = pushed[index]
        if not can_push(pushed, index) or "stop" in change.marks:
            continue
        early = change.onset_beats - PUSH_BEATS
        if early in ahead:
            push(pushed, index)
        elif change.onset_beats in starts:
            plan = plans[change.bar]
            chance = Random(f"{style.seed}/chords/push/{change.bar}")
            if not plan.is_last and chance.random() < plan.pattern.push * style.variation:
                push(pushed, index)
    return pushed


@dataclass(frozen=True, slots=True)
class Played:
    """One change with the moves that sound it, and the beats at which the hand stops it."""

    change: Held
    moves: tuple[Move, ...]
    rests: tuple[Fraction, ...]


def played_changes(changes: Sequence[Held], plans: Sequence[BarPlan]) -> list[Played]:
    """Give every move to the change it sounds and every change at least one move.

    A change without a stroke of its own takes over one that falls just before it (the hand
    anticipates); failing that it gets a stroke on its place. Under N.C. the hand is still.
    """
    moves = [move for plan in plans for move in plan.moves]
    played: list[Played] = []
    at = 0
    for change in changes:
        own: list[Move] = []
        while at < len(moves) and moves[at].onset_beats < change.end_beats:
            own.append(moves[at])
            at += 1
        rests = tuple(move.onset_beats for move in own if move.cell.kind == "rest")
        strokes = [move for move in own if move.cell.kind != "rest"]
        if change.grip is None:
            played.append(Played(change, (), ()))
        elif change.is_pushed:
            played.append(Played(change, tuple(_tied(change, strokes)), rests))
        elif strokes:
            played.append(Played(change, tuple(strokes), rests))
        elif played and _can_take_over(played[-1], change):
            played[-1], late = _take_over(played[-1], change)
            played.append(replace(late, rests=rests))
        else:
            played.append(Played(change, (_entry(change),), rests))
    return [_marked(each) for each in played]


def _tied(change: Held, strokes: list[Move]) -> list[Move]:
    """Return a pushed change's moves: one on its early place, none on the beat it came from."""
    written = change.onset_beats + PUSH_BEATS
    kept = [move for move in strokes if not change.onset_beats < move.onset_beats <= written]
    if kept and kept[0].onset_beats == change.onset_beats:
        first = kept[0]
        cell = replace(first.cell, loudness=max(first.cell.loudness, PUSH_LOUDNESS))
        return [replace(first, cell=replace(cell, is_short=False)), *kept[1:]]
    return [_entry(change), *kept]


def _entry(change: Held) -> Move:
    """Return a plain stroke on a change's own place."""
    on_beat = change.onset_beats.denominator == 1
    cell = Cell(Fraction(0), "strum", "down" if on_beat else "up", PUSH_LOUDNESS)
    return Move(change.onset_beats, cell, change.bar)


def _can_take_over(before: Played, change: Held) -> bool:
    if len(before.moves) < 2 or set(before.change.marks) & {"hold", "stop"} or change.marks:
        return False
    return change.onset_beats - before.moves[-1].onset_beats <= PUSH_BEATS


def _take_over(before: Played, change: Held) -> tuple[Played, Played]:
    """Let the last stroke before a change sound it already."""
    stolen = before.moves[-1]
    at = stolen.onset_beats
    shorter = replace(before.change, end_beats=at)
    early = replace(change, onset_beats=at, is_pushed=True)
    cell = replace(stolen.cell, loudness=max(stolen.cell.loudness, PUSH_LOUDNESS), is_short=False)
    kept = tuple(rest for rest in before.rests if rest < at)
    return (
        Played(shorter, before.moves[:-1], kept),
        Played(early, (replace(stolen, cell=cell),), ()),
    )


def _marked(played: Played) -> Played:
    """Obey ``{hold} {stop} {roll} {chuck}`` on a change's moves."""
    marks = set(played.change.marks)
    if not marks or not played.moves:
        return played
    moves, rests = played.moves, played.rests
    if (
        marks & {"hold", "stop", "slide", "roll"}
        and moves[0].onset_beats > played.change.onset_beats
    ):
        moves = (_entry(played.change), *moves)
    if marks & {"hold", "stop"}:
        moves, rests = moves[:1], ()
    if "stop" in marks:
        moves = (_recell(moves[0], is_short=True), *moves[1:])
    if "roll" in marks:
        moves = (_recell(moves[0], kind="roll", direction="down"), *moves[1:])
    if "chuck" in marks:
        moves = tuple(_recell(move, kind="chuck") for move in moves)
    return Played(played.change, moves, rests)


def _recell(move: Move, **changed: object) -> Move:
    return replace(move, cell=replace(move.cell, **changed))  # type: ignore[arg-type]
