"""What the chord part may never do, told as faults; the reckoning here is the tests' own."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from porchswing.band.score import Event, Stroke
from porchswing.chart.roadmap import Roadmap
from porchswing.grips.shapes.model import Grip, Voicing

EIGHTH = Fraction(1, 2)
Row = tuple[Fraction, Fraction, Grip | None]


def held_rows(roadmap: Roadmap, voicing: Voicing) -> list[Row]:
    """Return onset, end and grip of every stretch of one grip, as written."""
    rows: list[Row] = []
    for bar in roadmap.bars:
        at = bar.start_beats
        for slot, voiced in zip(bar.slots, voicing.voiced(bar), strict=True):
            grip = voiced.grip if slot.chord else None
            if rows and rows[-1][2] == grip:
                rows[-1] = (rows[-1][0], at + slot.beats, grip)
            else:
                rows.append((at, at + slot.beats, grip))
            at += slot.beats
    return rows


def fits(grip: Grip, held: Grip | None) -> bool:
    """Whether a stroke's grip is the held one, perhaps with one finger lifted for a hammer."""
    if held is None:
        return False
    changed = [(a, b) for a, b in zip(grip.frets, held.frets, strict=True) if a != b]
    return not changed or (len(changed) == 1 and changed[0][0] == 0)


def ringing_faults(roadmap: Roadmap, voicing: Voicing, strokes: Sequence[Event]) -> Iterator[str]:
    """A stroke sounds a grip nobody wrote there, or rings across a change or into silence."""
    rows = held_rows(roadmap, voicing)
    for stroke in strokes:
        assert isinstance(stroke, Stroke)
        onset, end = stroke.onset_beats, stroke.onset_beats + stroke.duration_beats
        if not 0 <= onset < end <= roadmap.beats:
            yield f"the stroke at {onset} ends at {end} of {roadmap.beats}"
        home = [
            stop for start, stop, grip in rows
            if fits(stroke.grip, grip) and (start <= onset < stop or start <= onset + EIGHTH < stop)
        ]  # fmt: skip
        if not home:
            yield f"the stroke at {onset} sounds {stroke.grip}, which nobody wrote there"
        elif end > home[-1]:
            yield f"the stroke at {onset} rings to {end}, its grip ends at {home[-1]}"
    for before, after in pairwise(strokes):
        if before.onset_beats + before.duration_beats > after.onset_beats:
            yield f"the strokes at {before.onset_beats} and {after.onset_beats} overlap"


def missing_faults(roadmap: Roadmap, voicing: Voicing, strokes: Sequence[Event]) -> Iterator[str]:
    """A bar with a chord is silent, or a change is never struck."""
    for bar in roadmap.bars:
        end = bar.start_beats + bar.beats
        asked_short = {"stop", "chuck"} & {mark for slot in bar.slots for mark in slot.marks}
        if asked_short or not any(slot.chord for slot in bar.slots):
            continue
        if not any(
            one.onset_beats < end and one.onset_beats + one.duration_beats > bar.start_beats
            for one in strokes
        ):
            yield f"the bar at {bar.start_beats} is empty"
    for start, stop, grip in held_rows(roadmap, voicing):
        if grip is not None and not any(
            isinstance(one, Stroke)
            and fits(one.grip, grip)
            and start - EIGHTH <= one.onset_beats < stop
            for one in strokes
        ):
            yield f"the change at {start} is never struck"


def string_faults(strokes: Sequence[Event]) -> Iterator[str]:
    """A loudness is out of range, or a named string is muted by its grip."""
    for stroke in strokes:
        assert isinstance(stroke, Stroke)
        if not 0 < stroke.velocity <= 1:
            yield f"the stroke at {stroke.onset_beats} has velocity {stroke.velocity}"
        for string in stroke.strings:
            if stroke.grip.frets[stroke.grip.tuning.index(string)] is None:
                yield f"the stroke at {stroke.onset_beats} wants the muted string {string}"


def slide_faults(strokes: Sequence[Event]) -> Iterator[str]:
    """A slide nobody wrote breaks a rule: shape kept, closed grips, not twice running, in time."""
    was_slid, previous = False, None
    for stroke in strokes:
        assert isinstance(stroke, Stroke)
        entered = previous is not None and stroke.grip != previous.grip
        if stroke.slide_frets:
            if previous is None or not entered:
                yield f"the slide at {stroke.onset_beats} enters no new grip"
                continue
            if was_slid:
                yield f"the slide at {stroke.onset_beats} follows a slide"
            start = tuple(None if f is None else f + stroke.slide_frets for f in stroke.grip.frets)
            if start != previous.grip.frets or not stroke.grip.is_closed:
                yield f"the slide at {stroke.onset_beats} does not keep the shape"
            if any(fret is not None and fret < 1 for fret in start):
                yield f"the slide at {stroke.onset_beats} starts off the neck"
            if not 0 < stroke.glide_beats <= stroke.duration_beats / 2:
                yield f"the slide at {stroke.onset_beats} has no time"
            was_slid = True
        elif entered:
            was_slid = False
        previous = stroke
