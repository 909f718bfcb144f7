"""Which chord each stroke sounds: every move goes to a change, every change gets its stroke.

A pattern holds no chords. Where it lets the sound go on over a change, the hand brings the new
chord in; a change that enters early is tied over its beat; marks in braces are obeyed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from porchswing.band.strumming.grip_spans import PUSH_BEATS, Held
from porchswing.band.strumming.right_hand import BarPlan, PlacedStroke
from porchswing.rhythm.strum import StrumCell

ENTRY_LOUDNESS = 0.6
"""Loudness of a stroke that must bring in a chord."""

LATEST_ENTRY = Fraction(1)
"""How late, in quarters, a chord may enter where the pattern rests on its place."""

PITCHLESS = frozenset({"chuck", "ghost"})


class Played(NamedTuple):
    """One change with the moves that sound it, and the beats at which the hand stops it."""

    change: Held
    moves: tuple[PlacedStroke, ...]
    rests: tuple[Fraction, ...]


def played_changes(changes: Sequence[Held], plans: Sequence[BarPlan]) -> list[Played]:
    """Give every move to the change it sounds and every change at least one that has a pitch.

    Where the pattern lets the sound go on over a change, the hand must do something about it:
    it anticipates with a stroke that falls just before, or strikes on the change's place. Where
    the pattern rests, the chord may enter later, by its first stroke. Under N.C. it is still.
    """
    moves = [move for plan in plans for move in plan.moves]
    played: list[Played] = []
    at, is_resting, last = 0, False, None
    for change in changes:
        own: list[PlacedStroke] = []
        while at < len(moves) and moves[at].onset_beats < change.end_beats:
            own.append(moves[at])
            at += 1
        written = [move for move in own if move.cell.kind != "rest"]
        strokes = list(written)
        rests = tuple(move.onset_beats for move in own if move.cell.kind == "rest")
        is_silent = change.onset_beats in rests or is_resting
        if change.grip is None:
            played.append(Played(change, (), ()))
            continue
        if change.is_pushed:
            strokes = _tied(change, strokes)
        elif _lateness(change, strokes) > 0:
            is_last = change is changes[-1] and plans[change.bar].is_last
            can_anticipate = not is_last and bool(played) and _can_take_over(played[-1], change)
            change = _brought_in(change, strokes, played, is_silent, can_anticipate, last)
        played.append(Played(change, tuple(_with_a_pitch(strokes)), rests))
        last = written[-1] if written else strokes[-1]
        is_resting = bool(own) and own[-1].cell.kind == "rest"
    return [_marked(each) for each in played]


def _lateness(change: Held, strokes: Sequence[PlacedStroke]) -> Fraction:
    """Return how long after a change its first stroke comes; all of it where none does."""
    first = strokes[0].onset_beats if strokes else change.end_beats
    return first - change.onset_beats


def _brought_in(
    change: Held,
    strokes: list[PlacedStroke],
    played: list[Played],
    is_silent: bool,
    can_anticipate: bool,
    last: PlacedStroke | None,
) -> Held:
    """Bring in a change that no stroke falls on, adding to its ``strokes``; return it.

    ``is_silent``: the pattern rests on its place; ``can_anticipate``: the stroke before it may
    sound it already (never the last chord of all, which the whole band plays on one beat);
    ``last`` is the stroke before it.
    """
    if is_silent and strokes:
        patience = PUSH_BEATS if can_anticipate else LATEST_ENTRY
        if _lateness(change, strokes) <= patience:
            return change
    if can_anticipate:
        change, stolen = _take_over(played, change)
        strokes.insert(0, stolen)
        return change
    if strokes and _lateness(change, strokes) <= PUSH_BEATS and strokes[0].cell.loudness >= 0.5:
        del strokes[0]
    strokes.insert(0, _entry(change, last, is_silent))
    return change


def _with_a_pitch(strokes: list[PlacedStroke]) -> list[PlacedStroke]:
    """Return the strokes of a change, the first one strummed where all would be pitchless."""
    if any(move.cell.kind not in PITCHLESS for move in strokes):
        return strokes
    return [_recell(strokes[0], kind="strum", loudness=ENTRY_LOUDNESS), *strokes[1:]]


def _tied(change: Held, strokes: list[PlacedStroke]) -> list[PlacedStroke]:
    """Return a pushed change's moves: one on its early place, none on the beat it came from."""
    written = change.onset_beats + PUSH_BEATS
    kept = [move for move in strokes if not change.onset_beats < move.onset_beats <= written]
    if kept and kept[0].onset_beats == change.onset_beats:
        return [_leading(kept[0]), *kept[1:]]
    return [_entry(change), *kept]


def _entry(change: Held, last: PlacedStroke | None = None, is_silent: bool = False) -> PlacedStroke:
    """Return a stroke on a change's own place, in the manner of the ``last`` one of its bar."""
    on_beat = change.onset_beats.denominator == 1
    cell = StrumCell(Fraction(0), "strum", "down" if on_beat else "up", ENTRY_LOUDNESS)
    if last is not None and last.bar == change.bar:
        kind = last.cell.kind if last.cell.kind == "tremolo" else "strum"
        cell = replace(cell, kind=kind, is_short=is_silent and last.cell.is_short)
    return PlacedStroke(change.onset_beats, cell, change.bar)


def _can_take_over(before: Played, change: Held) -> bool:
    if len(before.moves) < 2 or change.marks or set(before.change.marks) & {"hold", "stop"}:
        return False
    return change.onset_beats - before.moves[-1].onset_beats <= PUSH_BEATS


def _take_over(played: list[Played], change: Held) -> tuple[Held, PlacedStroke]:
    """Let the last stroke before a change sound it already; returns both, earlier."""
    before = played[-1]
    stolen = before.moves[-1]
    at = stolen.onset_beats
    kept = tuple(rest for rest in before.rests if rest < at)
    played[-1] = Played(before.change._replace(end_beats=at), before.moves[:-1], kept)
    return change._replace(onset_beats=at, is_pushed=True), _leading(stolen)


def _leading(move: PlacedStroke) -> PlacedStroke:
    """Return a stroke strong and long enough to bring in a chord."""
    loudness = max(move.cell.loudness, ENTRY_LOUDNESS)
    return _recell(move, loudness=loudness, is_short=False, is_filler=False)


def _marked(played: Played) -> Played:
    """Apply ``{hold} {stop} {roll} {chuck}`` on a change's moves."""
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


def _recell(move: PlacedStroke, **changed: object) -> PlacedStroke:
    return move._replace(cell=replace(move.cell, **changed))  # type: ignore[arg-type]
