"""Build the cost network of a form: variables for grips and lines, factors for costs.

A run is a stretch of slots that keeps one grip: a chord and its repetitions. Every run is
one variable wherever its section returns, so identical sections get identical grips, and bars
that are alike the last time keep theirs. Every change counts as often as it is played.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby, pairwise

import numpy as np

from porchswing.chart.model import Frets, LineTarget, Settings
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.grips.search.cost import change_costs, grip_costs, weight_steps
from porchswing.grips.search.line_cost import (
    LineLabel,
    asked_labels,
    free_labels,
    step_costs,
    turn_costs,
)
from porchswing.grips.search.network import Network
from porchswing.grips.search.sequences import sequences
from porchswing.grips.search.table import Bools, GripTable, Ints, heard_chord
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Tuning
from porchswing.theory.chords import Chord

SlotKey = tuple[str, int, int, int]
"""Section, bar (from 1), slot (from 0) and pass number (0 where every pass is one)."""


@dataclass(slots=True)
class Run:
    """Slots that keep one grip: the chord, a lock and its fingers if any, the settings in force.

    ``base`` is the section, for the last time's that whose place it takes.
    """

    chord: Chord
    lock: Frets | None
    settings: Settings
    base: str
    keys: list[SlotKey] = field(default_factory=list)
    fingers: tuple[int, ...] = ()


@dataclass(slots=True)
class Form:
    """The runs of a form, the ``order`` they are played in, and how often each change comes."""

    runs: list[Run]
    run_of: dict[SlotKey, int]
    changes: Counter[tuple[int, int]]
    order: list[int]
    by_pass: bool = False


def read_form(roadmap: Roadmap, tuning: Tuning, *, loop: bool = False, tied: bool = True) -> Form:
    """Gather the runs of a roadmap and count the changes between them.

    ``loop`` adds the change from the last bar of the form to its first; without ``tied``
    each pass of a section is voiced for itself.
    """
    played = [
        ((bar.section, bar.bar, index, 0 if tied else bar.pass_number), bar)
        for bar in roadmap.bars
        for index, slot in enumerate(bar.slots)
        if slot.chord is not None
    ]
    heads: dict[SlotKey, set[SlotKey | None]] = {}  # what comes before each; None, the start
    for last, (key, _) in zip([None, *(key for key, _ in played)], played, strict=False):
        heads.setdefault(key, set()).add(last)
    alike = _alike_bars(roadmap, tuning) if tied else {}
    runs: list[Run] = []
    run_of: dict[SlotKey, int] = {}
    order: list[int] = []
    for key, bar in played:
        if key not in run_of:
            base = alike.get(key[:2])
            if base is not None:
                run_of[key] = run_of[base, *key[1:]]
                runs[run_of[key]].keys.append(key)
            else:
                _place(key, bar, tuning, heads[key], runs, run_of)
        order.append(run_of[key])
    changes = Counter(pairwise(order))
    if loop and order:  # intro and ending left aside
        inside = [run_of[key] for key, bar in played if bar.role == "form"] or order
        changes[inside[-1], inside[0]] += 1
    return Form(runs, run_of, changes, order, by_pass=not tied)


def _alike_bars(roadmap: Roadmap, tuning: Tuning) -> dict[tuple[str, int], str]:
    """Return the bars of a last time that differ in nothing, each with the section it repeats."""
    first = {(bar.section, bar.bar): bar for bar in reversed(roadmap.bars)}
    return {
        place: bar.base
        for place, bar in first.items()
        if (before := first.get((bar.base, bar.bar))) and _is_alike(bar, before, tuning)
    }


def _is_alike(bar: PlayedBar, before: PlayedBar, tuning: Tuning) -> bool:
    """Return whether a bar of the last time may keep the grips of the bar in whose place it is."""
    return (
        before.start_beats < bar.start_beats  # no bar is before itself
        and _grip_rules(bar.settings) == _grip_rules(before.settings)
        and len(bar.slots) == len(before.slots)
        and all(
            one.beats == other.beats
            and (one.chord and heard_chord(one.chord, tuning))
            == (other.chord and heard_chord(other.chord, tuning))
            and (one.lock is None or (one.lock, one.fingers) == (other.lock, other.fingers))
            for one, other in zip(bar.slots, before.slots, strict=True)
        )
    )


def _place(
    key: SlotKey,
    bar: PlayedBar,
    tuning: Tuning,
    before: set[SlotKey | None],
    runs: list[Run],
    run_of: dict[SlotKey, int],
) -> None:
    """Put a slot into the run it prolongs, or open a new one."""
    slot = bar.slots[key[2]]
    assert slot.chord is not None
    only = next(iter(before)) if len(before) == 1 else None
    if only is not None and only in run_of and only[0] == key[0] and only[3] == key[3]:
        run = runs[run_of[only]]
        fits = slot.lock is None or (slot.lock, slot.fingers) == (run.lock, run.fingers)
        same = heard_chord(run.chord, tuning) == heard_chord(slot.chord, tuning)
        if same and fits and _grip_rules(run.settings) == _grip_rules(bar.settings):
            run.keys.append(key)
            run_of[key] = run_of[only]
            return
    run_of[key] = len(runs)
    runs.append(Run(slot.chord, slot.lock, bar.settings, bar.base, [key], slot.fingers))


def _grip_rules(settings: Settings) -> tuple[object, ...]:
    return settings.frets, settings.grips, settings.lane


def build_form_network(
    form: Form, tables: list[GripTable], tuning: Tuning, hand: Hand, line: LineTarget | None
) -> Network:
    """Lay out every cost of a form over the runs' candidates and the lines: run i is variable i.

    ``line`` overrides the chart's.
    """
    network, steps = Network(), _steps(form)
    for table in tables:
        network.variable(len(table))
    network.add([form.order[0]], grip_costs(tables[form.order[0]], hand))
    for (start, goal), times in form.changes.items():
        if start != goal and (start, goal) not in steps:
            costs = change_costs(tables[start], tables[goal], hand)
            network.add([start, goal], costs, times, loose=True)
    _add_lines(network, tables, form, steps, tuning, hand, line)
    _add_sequences(network, tables, form, steps, hand)
    return network


def _steps(form: Form) -> dict[tuple[int, int], int]:
    """Return the changes inside a section that go on through it, with how often they come."""
    return {
        (start, goal): times
        for (start, goal), times in form.changes.items()
        if _goes_on(form.runs[start], form.runs[goal])
    }


def _goes_on(start: Run, goal: Run) -> bool:
    """Return whether a run comes later in the section of another and in the same pass."""
    (_, *before, passed), (_, *after, passes) = start.keys[0], goal.keys[0]
    return start.base == goal.base and passed == passes and before < after


def _add_lines(
    network: Network,
    tables: list[GripTable],
    form: Form,
    steps: dict[tuple[int, int], int],
    tuning: Tuning,
    hand: Hand,
    line: LineTarget | None,
) -> None:
    """Let every change inside a section belong to a line, and charge for both and for turning."""
    labels_of: dict[tuple[int, int], tuple[int, tuple[LineLabel, ...]]] = {}
    asked_in: dict[tuple[str, int, LineTarget], int] = {}
    for (start, goal), times in steps.items():
        run = form.runs[goal]
        target = line or run.settings.line
        labels = asked_labels(target, tuning) if target else free_labels(tuning)
        if target is None:
            variable = network.variable(len(labels))
        else:  # the line asked for is one line throughout the section
            place = (run.base, run.keys[0][3], target)
            if place not in asked_in:
                asked_in[place] = network.variable(len(labels))
            variable = asked_in[place]
        costs = step_costs(tables[start], tables[goal], labels, hand, target is not None)
        network.add([start, goal, variable], costs, times)
        labels_of[start, goal] = (variable, labels)
    for first, second in _consecutive(steps):
        (variable, labels), (later, others) = labels_of[first], labels_of[second]
        if variable != later and len(labels) == len(others):
            network.add([variable, later], turn_costs(len(labels), hand.weights), steps[second])


def _consecutive(
    steps: Iterable[tuple[int, int]],
) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Yield pairs of changes of which the second goes on where the first arrives."""
    onward: dict[int, list[tuple[int, int]]] = {}
    for step in steps:
        onward.setdefault(step[0], []).append(step)
    for step in steps:
        for following in onward.get(step[1], ()):
            yield step, following


def _add_sequences(
    network: Network,
    tables: list[GripTable],
    form: Form,
    steps: dict[tuple[int, int], int],
    hand: Hand,
) -> None:
    """Charge every chord of a transposed progression whose shape is not shifted with it."""
    weight = weight_steps(hand.weights, "unpaired")
    heard: Counter[tuple[int, int]] = Counter()
    for passage, times in passages(form, steps).items():
        for sequence in sequences([form.runs[run].chord for run in passage]):
            for first, again in sequence.pairs:
                if passage[first] < passage[again]:
                    heard[passage[first], passage[again]] += times
    for (first, again), times in heard.items() if weight else ():
        costs = _unpaired(tables[first], tables[again])
        network.add([first, again], costs, weight * times, loose=True)


def passages(form: Form, steps: Collection[tuple[int, int]]) -> Counter[tuple[int, ...]]:
    """Return the stretches played straight on through a section, with how often each is."""
    found: Counter[tuple[int, ...]] = Counter()
    passage: list[int] = []
    for run, _ in groupby(form.order):
        if passage and (passage[-1], run) not in steps:
            found[tuple(passage)] += 1
            passage = []
        passage.append(run)
    found[tuple(passage)] += 1
    return found


def _unpaired(before: GripTable, after: GripTable) -> Ints:
    """Say (1 or 0) where the later grip is not the earlier shape, shifted as the roots are."""
    rise = after.roots - before.roots[:, None]
    alike = np.array([[a.quality == b.quality for b in after.heard] for a in before.heard], bool)[
        before.heard_of[:, None], after.heard_of
    ]
    same = (before.shapes[:, None] == after.shapes) & (before.shapes[:, None] >= 0)
    shifted = (after.lows - before.lows[:, None] - rise) % 12 == 0
    unpaired: Bools = ~(same & shifted & alike)
    return unpaired * 1
