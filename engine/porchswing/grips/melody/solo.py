"""A tune arranged for one player: grips under its strong notes, the others picked alone.

Every note due a chord is the highest sounding note of a grip of the lane's chord; the grips
are chosen together by the same exact search and the same costs as any others, so that what a
player learns of a hand there holds here. A note picked alone is fretted from the grip before
it; leaving that grip costs the way there and back. The octave is one for the whole tune.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.grips.melody.solo_notes import (
    OCTAVES,
    NoteKey,
    Reach,
    Solo,
    SoloForm,
    SoloNote,
    SoloSlot,
    reach_of,
    solo_form,
    troubles,
    ways_to_pick,
)
from porchswing.grips.melody.top_grips import MOST_STRINGS, top_grips
from porchswing.grips.search.cost import UNIT, change_costs, grip_costs, weight_steps
from porchswing.grips.search.form_voicing import GripRequest
from porchswing.grips.search.network import Network
from porchswing.grips.search.search import best_choices
from porchswing.grips.search.table import GripTable, Ints, grip_table, with_fingerings
from porchswing.grips.search.voice import chart_of, request_of
from porchswing.grips.shapes.fingers import FINGERS, Fingering, Press
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.locks import for_tuning
from porchswing.grips.shapes.model import Grip
from porchswing.harmony.choice.lead import Lead

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
    tuning, closed = request.tuning, request.kind == "closed"
    # from the nut on: open strings carry a tune as well
    hand = replace(request.hand, region=(0, request.hand.region[1]))
    roadmap = _with_last_time(lead, request)
    form = solo_form(roadmap, chords)
    reaches = {octave: reach_of(form, tuning, hand, octave, closed=closed) for octave in OCTAVES}
    fewest = min(len(reach.missed) for reach in reaches.values())
    best: Solo | None = None
    for octave, reach in reaches.items():
        if len(reach.missed) == fewest and reach.notes:
            found = _arranged(form, roadmap.lane, reach)
            if best is None or found.cost < best.cost:
                best = replace(found, octaves=octave)
    if best is None:
        return Solo(tuning, (), 0.0, 0, roadmap.lane, hand, True, troubles(reaches[0], form))
    return replace(best, troubles=troubles(reaches[best.octaves], form))


def _with_last_time(lead: Lead | Chart, request: GripRequest) -> Roadmap:
    """Return the bars to arrange: the form, twice where its last time has other chords."""
    once = request.roadmap
    twice = unroll(for_tuning(chart_of(lead), request.tuning), lane=once.lane, choruses=2)
    first, both = ({bar.section for bar in road.bars} for road in (once, twice))
    return once if first == both else twice


def _arranged(form: SoloForm, lane: str, reach: Reach) -> Solo:
    """Return the best arrangement in one octave."""
    notes, hand, counts = reach.notes, reach.hand, Counter(form.order)
    tables = _tables(reach)
    network = Network()
    variable = {key: network.variable(len(table)) for key, table in tables.items()}
    order = [key for key in form.order if key in notes]
    gripped = [key for key in order if key in tables]
    for key, table in tables.items():
        network.add([variable[key]], counts[key] * melody_steps(notes[key], table))
    if gripped:
        first = gripped[0]
        network.add([variable[first]], grip_costs(tables[first], hand))
    for (start, goal), times in Counter(pairwise(gripped)).items():
        if start != goal:
            costs = change_costs(tables[start], tables[goal], hand)
            near = variable[goal] == variable[start] + 1
            network.add([variable[start], variable[goal]], times * costs, loose=not near)
    home = _home_grips(order, tables)
    fretted: dict[NoteKey, tuple[Ints, list[Grip]]] = {}
    for key, anchor in home.items():
        fretted[key] = _picked(notes[key], tables[anchor] if anchor else None, reach)
        if anchor is not None:
            network.add([variable[anchor]], counts[key] * fretted[key][0].min(axis=1))
    ranking = best_choices(network, {}, 1)
    cost, choice = ranking.choices[0]
    slots = []
    for key, note in notes.items():
        if key in tables:
            grip = tables[key].grips[choice[variable[key]]]
        else:
            anchor = home[key]
            costs, grips = fretted[key]
            row = choice[variable[anchor]] if anchor is not None else 0
            held = tables[anchor].grips[row] if anchor is not None else None
            grip = _fingered(grips[int(costs[row].argmin())], held)
        slots.append(_slot(note, grip, is_chord=key in tables))
    return Solo(reach.tuning, tuple(slots), cost / UNIT, 0, lane, hand, ranking.is_proven)


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


def _tables(reach: Reach) -> dict[NoteKey, GripTable]:
    """Return the grips of every note that gets a chord; one that no grip has on top gets none."""
    found, hand = {}, reach.hand
    for key, note in reach.notes.items():
        if not note.is_gripped or note.chord is None:
            continue
        grips = top_grips(note.chord, note.pitch, reach.tuning, hand, closed=reach.closed)
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
    missing = min(MOST_STRINGS, len(table.grips[0].tuning.used)) - (table.frets >= 0).sum(axis=1)
    thinned: Ints = steps + np.array(THIN_STEPS, np.int64)[missing]
    return thinned


def _home_grips(
    order: list[NoteKey], tables: Mapping[NoteKey, GripTable]
) -> dict[NoteKey, NoteKey | None]:
    """Return the notes picked alone, each with the note whose grip it is picked from.

    That is the grip before it, wherever the note is first met; a pickup is picked from the
    first grip of all.
    """
    home: dict[NoteKey, NoteKey | None] = {}
    anchor = next((key for key in order if key in tables), None)
    for key in order:
        if key in tables:
            anchor = key
        else:
            home.setdefault(key, anchor)
    return home


def _picked(note: SoloNote, table: GripTable | None, reach: Reach) -> tuple[Ints, list[Grip]]:
    """Return what each way of picking a note costs from each grip of a table."""
    tuning, hand = reach.tuning, reach.hand
    ways = ways_to_pick(note.pitch, tuning, hand, closed=reach.closed)
    grips = [
        Grip(tuple(fret if i == index else None for i in range(tuning.strings)), tuning)
        for index, fret in ways
    ]
    rows = [None] if table is None else list(table.grips)
    costs = [[_pick_steps(grip, index, fret, hand) for index, fret in ways] for grip in rows]
    return np.array(costs, np.int64), grips


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
