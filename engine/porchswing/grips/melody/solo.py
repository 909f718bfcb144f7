"""A tune arranged for one player: grips under its strong notes, the others picked alone.

Every note due a chord is the highest sounding note of a grip of the lane's chord; the grips
are chosen together by the same exact search and the same costs as any others, so that what a
player learns of a hand there holds here. A note picked alone is fretted from the grip before
it; leaving that grip costs the way there and back. The octave is one for the whole tune.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.melody.remedies import Reach, reach_of, troubles
from porchswing.grips.melody.solo_model import Solo, SoloSlot
from porchswing.grips.melody.solo_notes import NoteKey, SoloForm, SoloNote, solo_form
from porchswing.grips.melody.top_grips import MOST_STRINGS, top_grips
from porchswing.grips.search.cost import UNIT, change_costs, grip_costs, weight_steps
from porchswing.grips.search.form_voicing import GripRequest
from porchswing.grips.search.network import Network
from porchswing.grips.search.search import best_choices
from porchswing.grips.search.table import GripTable, Ints, grip_table, with_fingerings
from porchswing.grips.search.voice import chart_of, request_of
from porchswing.grips.shapes.fingers import FINGERS, Fingering, Press
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.locks import for_tuning
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.harmony.choice.lead import Lead

OCTAVES = (0, -1, 1, -2, 2)
"""Octaves a tune may be moved by; among equals, the first."""

HAND_FRETS = 3
"""Frets above its first finger that a hand reaches without leaving its place."""

TENSION_STEPS = 250
"""What a note on top that is none of the chord's own costs, in thousandths of a unit."""

THIN_STEPS = (0, 1000, 3500)
"""What a grip costs that sounds one and two strings fewer than four, beside ``muted``."""


def solo(lead: Lead | Chart, *, chords: str = "strong", **wishes: Any) -> Solo:
    """Return the tune of a chart arranged for one player, provably the least work.

    Parameters
    ----------
    chords
        Where a chord is gripped: ``strong`` beats, once a ``bar``, or under ``all`` notes.
    wishes
        As in :func:`porchswing.grips.search.voice.voice`; grips may have open strings unless
        ``grips="closed"`` asks for none.

    Raises
    ------
    GripError
        Where the chart has no melody, or nothing of it can be reached.
    """
    request = request_of(lead, **{**wishes, "grips": wishes.get("grips") or "any"})
    return solo_of(
        _with_last_time(lead, request),
        request.tuning,
        _for_solo(request.hand),
        chords=chords,
        closed=request.kind == "closed",
    )


def _with_last_time(lead: Lead | Chart, request: GripRequest) -> Roadmap:
    """Return the bars to arrange: the form, twice where its last time has other chords."""
    once = request.roadmap
    twice = unroll(for_tuning(chart_of(lead), request.tuning), lane=once.lane, choruses=2)
    first, both = ({bar.section for bar in road.bars} for road in (once, twice))
    return once if first == both else twice


def _for_solo(hand: Hand) -> Hand:
    """Return a hand that plays from the nut on: open strings carry a tune as well."""
    return replace(hand, region=(0, hand.region[1]))


def solo_of(
    roadmap: Roadmap,
    tuning: Tuning,
    hand: Hand = CLOSED_HAND,
    *,
    chords: str = "strong",
    closed: bool = False,
) -> Solo:
    """Return the arrangement of a roadmap's melody; see :func:`solo`."""
    form = solo_form(roadmap, chords)
    reaches = {octave: reach_of(form, tuning, hand, octave, closed=closed) for octave in OCTAVES}
    fewest = min(len(reach.missed) for reach in reaches.values())
    best: Solo | None = None
    for octave, reach in reaches.items():
        if len(reach.missed) == fewest and reach.is_some:
            found = _arranged(form, roadmap, tuning, hand, reach, closed=closed)
            if best is None or found.cost < best.cost:
                best = replace(found, octaves=octave)
    if best is None:
        reach = reaches[0]
        return Solo(tuning, (), 0.0, 0, roadmap.lane, hand, True, troubles(reach, form))
    return replace(best, troubles=troubles(reaches[best.octaves], form))


def _arranged(
    form: SoloForm, roadmap: Roadmap, tuning: Tuning, hand: Hand, reach: Reach, *, closed: bool
) -> Solo:
    """Return the best arrangement in one octave."""
    notes = reach.notes
    tables = _tables(notes, tuning, hand, closed)
    anchors = list(tables)
    variable = {key: number for number, key in enumerate(anchors)}
    network = Network()
    for key in anchors:
        network.variable(len(tables[key]))
    order = [key for key in form.order if key in notes]
    gripped = [key for key in order if key in tables]
    for key, count in form.times.items():
        if key in tables:
            network.add([variable[key]], count * melody_steps(notes[key], tables[key]))
    if gripped:
        first = gripped[0]
        network.add([variable[first]], grip_costs(tables[first], hand))
    for (start, goal), times in Counter(pairwise(gripped)).items():
        if start != goal:
            costs = change_costs(tables[start], tables[goal], hand)
            near = variable[goal] == variable[start] + 1
            network.add([variable[start], variable[goal]], times * costs, loose=not near)
    alone = _alone(order, tables)
    fretted: dict[tuple[NoteKey, NoteKey | None], tuple[Ints, list[Grip]]] = {}
    for (key, anchor), times in alone.items():
        table = tables[anchor] if anchor else None
        fretted[key, anchor] = _picked(notes[key], table, tuning, hand, closed)
        if anchor is not None:
            network.add([variable[anchor]], times * fretted[key, anchor][0].min(axis=1))
    cost, choice, proven = 0, tuple[int, ...](), True
    if anchors:
        ranking = best_choices(network, {}, 1)
        (cost, choice), proven = ranking.choices[0], ranking.is_proven
    slots = []
    for key, note in notes.items():
        if key in tables:
            grip = tables[key].grips[choice[variable[key]]]
        else:
            anchor = next(a for (k, a) in fretted if k == key)
            costs, grips = fretted[key, anchor]
            row = choice[variable[anchor]] if anchor is not None else 0
            home = tables[anchor].grips[row] if anchor is not None else None
            grip = _fingered(grips[int(costs[row].argmin())], home)
        slots.append(_slot(note, grip, is_chord=key in tables))
    return Solo(tuning, tuple(slots), cost / UNIT, 0, roadmap.lane, hand, proven)


def _fingered(single: Grip, home: Grip | None) -> Grip:
    """Return one picked note under the finger that is over its fret."""
    ((index, fret),) = ((i, f) for i, f in enumerate(single.frets) if f is not None)
    if not fret:
        return single
    held = home.held if home else None
    sounding = home.fingers[index] if home and home.frets[index] == fret else 0
    place = held.position if held and held.position else fret
    finger = sounding or min(max(fret - place + 1, 1), FINGERS)
    hold = Fingering((Press(finger, fret, index, index),), max(1, fret - finger + 1))
    return replace(single, hold=hold)


def _slot(note: SoloNote, grip: Grip, *, is_chord: bool) -> SoloSlot:
    tension = is_chord and note.chord is not None and note.pitch % 12 not in note.chord.pcs
    return SoloSlot(*note.key, note.at, note.beats, note.pitch, note.chord, grip, is_chord, tension)


def _tables(
    notes: Mapping[NoteKey, SoloNote], tuning: Tuning, hand: Hand, closed: bool
) -> dict[NoteKey, GripTable]:
    """Return the grips of every note that gets a chord; one that no grip has on top gets none."""
    found = {}
    for key, note in notes.items():
        if not note.is_gripped or note.chord is None:
            continue
        grips = top_grips(note.chord, note.pitch, tuning, hand, closed=closed)
        held = [
            (note.chord, each)
            for grip in grips
            for each in with_fingerings(grip, hand.barre, hand.fingers)
        ]
        if held:
            found[key] = grip_table(held)
    return found


def melody_steps(note: SoloNote, table: GripTable) -> Ints:
    """Return what each grip costs the tune: a tension on top, and strings left out."""
    assert note.chord is not None
    steps = 0 if note.pitch % 12 in note.chord.pcs else TENSION_STEPS
    full = min(MOST_STRINGS, len(table.grips[0].tuning.used))
    missing = full - (table.frets >= 0).sum(axis=1)
    thinned: Ints = steps + np.array(THIN_STEPS, np.int64)[missing]
    return thinned


def _alone(
    order: list[NoteKey], tables: Mapping[NoteKey, GripTable]
) -> Counter[tuple[NoteKey, NoteKey | None]]:
    """Return the notes picked alone, each with the grip it is picked from, and how often.

    That is the grip before it, wherever the note is first met; a pickup is picked from the
    first grip of all.
    """
    first = next((key for key in order if key in tables), None)
    home: dict[NoteKey, NoteKey | None] = {}
    anchor = first
    for key in order:
        if key in tables:
            anchor = key
        else:
            home.setdefault(key, anchor)
    times = Counter(key for key in order if key not in tables)
    return Counter({(key, home[key]): count for key, count in times.items()})


def _picked(
    note: SoloNote, table: GripTable | None, tuning: Tuning, hand: Hand, closed: bool
) -> tuple[Ints, list[Grip]]:
    """Return what each way of picking a note costs from each grip of a table."""
    ways = list(_ways(note.pitch, tuning, hand, closed))
    grips = [Grip(tuple(fret if i == index else None for i in range(tuning.strings)), tuning)
             for index, fret in ways]  # fmt: skip
    rows = [None] if table is None else list(table.grips)
    costs = [[_pick_steps(grip, index, fret, hand) for index, fret in ways] for grip in rows]
    return np.array(costs, np.int64), grips


def _ways(pitch: int, tuning: Tuning, hand: Hand, closed: bool) -> Iterator[tuple[int, int]]:
    for index in reversed(tuning.used):
        fret = pitch - tuning.open_midi[index]
        if closed <= fret <= min(hand.max_fret, tuning.frets):
            yield index, fret


def _pick_steps(grip: Grip | None, index: int, fret: int, hand: Hand) -> int:
    """Return what one note costs from a grip: nothing where it sounds, the way there and back."""
    if grip is None or fret == 0 or grip.frets[index] == fret:
        return 0
    total = weight_steps(hand.weights, "finger_placed")
    place = grip.held.position
    if place:
        away = max(place - fret, fret - place - HAND_FRETS, 0)
        total += 2 * away * weight_steps(hand.weights, "shift")
    return total
