"""Swaps that bring a dominant, or its ii, beside the written chord.

The written chord stays, so its function does; it only shares its beats. Common practice, no
single source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from porchswing.harmony.passage.cutting import bar_edges, cut
from porchswing.harmony.passage.functions import (
    AT_REST,
    falls_fifth,
    falls_semitone,
    free_step,
    is_dominant,
    is_dominant_triad,
    is_tonic,
    root_need,
    then,
)
from porchswing.harmony.passage.steps import (
    Need,
    Offer,
    OfferedChord,
    Passage,
    Step,
    at,
    chord,
    needs,
    offer,
    strong_split,
)
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord


def _related_ii(passage: Passage, index: int) -> Iterator[Offer]:
    step = passage.steps[index]
    if falls_fifth(step, passage.following(index + 1)) or step.degree == 7:
        yield from _with_two(passage, index, "related ii")


def _two_of_substitute(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = passage.steps[index], passage.following(index + 1)
    if goal is not None and falls_semitone(step, goal) and step.degree != 7:
        yield from _with_two(passage, index, "ii of a substitute", root_need(goal))


SIX = 9
"""The degree of VI7, whose ii may be a chord of the key: iii."""


def _with_two(
    passage: Passage, index: int, name: str, after: tuple[Need, ...] = ()
) -> Iterator[Offer]:
    """Offer a dominant's time to it and its ii; ``after`` is what must follow."""
    step = free_step(passage, index)
    if step is None or step.chord is None or not is_dominant(passage, index):
        return
    if step.pulses < 2 * passage.grid_pulses:
        return
    bar, before = passage.span_at(step.end - passage.grid_pulses), passage.previous(index)
    start = max(bar.start, step.start) if step.degree == 0 else step.start
    split = strong_split(passage, start, step.end)
    home = step.degree == 0 and start == step.start
    if split is None or (home and not (passage.asked and before and is_tonic(before))):
        return  # a blues tonic is heard first; its last bar may turn to IV
    kind = _kind_of_two(passage, index)
    two = chord(at(step.chord.root, "5", step.key), kind)
    five = step.chord if step.family == "dominant" else chord(step.chord.root, "7")
    no_other_two = needs([two.root.pc], ["minor", "half-diminished"], forbid=True)
    if before and not no_other_two[0].met(before.chord):
        return
    tonic = [OfferedChord(step.chord, start - step.start)] if start > step.start else []
    pc = step.chord.root.pc
    if step.end - start > 2 * bar.pulses:
        yield from _in_pairs(passage, index, name, two, five, after)
        return
    parts = [
        *tonic,
        OfferedChord(two, split - start, no_other_two, needs([pc, pc + 6])),
        OfferedChord(five, step.end - split, after=after),
    ]
    yield offer(name, passage, index, index + 1, parts)
    if passage.asked and kind == "m7b5" and step.key.mode == "major" and step.degree == SIX:
        own = parts[-2]._replace(chord=chord(two.root, "m7"))
        yield offer(name, passage, index, index + 1, [*parts[:-2], own, parts[-1]])
    late = cut(passage, bar.start, step.end, 2)
    if passage.asked and late and not tonic and start < bar.start:
        held = OfferedChord(step.chord, bar.start - start)
        ends = [part._replace(pulses=long) for part, long in zip(parts, late, strict=True)]
        ends[0] = ends[0]._replace(before=())
        yield offer(name, passage, index, index + 1, [held, *ends])


def _in_pairs(
    passage: Passage, index: int, name: str, two: Chord, five: Chord, after: tuple[Need, ...]
) -> Iterator[Offer]:
    """Offer a dominant of more than two bars as ii and V in turn, a bar each.

    Where its bars do not pair, V is heard first.
    """
    step = passage.steps[index]
    edges = bar_edges(passage, step.start, step.end)
    if step.start not in passage.starts:
        del edges[0]
    first = edges[1 - len(edges) % 2]
    lengths = [end - start for start, end in pairwise(edges) if start >= first]
    parts = [OfferedChord(five, first - step.start)] if first > step.start else []
    for ii_pulses, v_pulses in zip(lengths[::2], lengths[1::2], strict=True):
        parts += [OfferedChord(two, ii_pulses), OfferedChord(five, v_pulses)]
    parts[-1] = parts[-1]._replace(after=after)
    yield offer(name, passage, index, index + 1, parts)


def _kind_of_two(passage: Passage, index: int) -> str:
    """Return the quality of a dominant's ii: half-diminished where the way leads into minor."""
    step, goal = passage.steps[index], passage.following(index + 1)
    to_minor = goal is not None and falls_fifth(step, goal) and goal.family == "minor"
    in_minor = step.key.mode == "minor" and (
        step.degree == 7 or (goal is not None and falls_fifth(step, goal) and goal.degree == 7)
    )
    return "m7b5" if to_minor or in_minor else "m7"


def _secondary_dominant(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or goal.chord is None or step.chord is None:
        return
    blues = step.degree == 0 and step.family == "dominant"
    rests = step.family in AT_REST and not is_dominant_triad(passage, index)
    aside = passage.asked and step.degree == 7 and goal.degree == 9
    if not (rests or blues or aside) or falls_fifth(step, goal):
        return
    if goal.degree == 0 or goal.family not in (*AT_REST, "dominant") or goal.key != step.key:
        return
    if goal.chord.root.pc == step.chord.root.pc:
        return
    if goal.family == "minor" and goal.degree != 2 and goal.deeds and not passage.asked:
        return  # the ii that a dominant away from home brought is no goal of its own
    if goal.family not in _goals(passage, step.key.mode).get(goal.degree, ()):
        return
    five = chord(at(goal.chord.root, "5", step.key), "7")
    yield from then(passage, index, "secondary dominant", five, whole_bar=blues)


def _one_seven_into_four(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or step.degree != 0:
        return
    if step.family not in AT_REST or not falls_fifth(step, goal) or goal.family == "diminished":
        return
    first = step.chord if step.family == step.key.mode else None
    yield from then(passage, index, "I7 into IV", chord(step.chord.root, "7"), first)


def _quick_change(passage: Passage, index: int) -> Iterator[Offer]:
    step = free_step(passage, index)
    if step is None or step.chord is None or step.degree != 0 or step.family != "dominant":
        return
    bar = passage.span_at(step.start)
    if step.start != bar.start or not 3 * bar.pulses <= step.pulses <= 4 * bar.pulses:
        return
    if bar.bar_index:
        return
    four = chord(at(step.chord.root, "4", step.key), "7")
    raised = chord(at(step.chord.root, "#4", step.key), "dim7")
    first = OfferedChord(step.chord, bar.pulses)
    back = OfferedChord(step.chord, step.pulses - 2 * bar.pulses)
    visits = [[OfferedChord(four, bar.pulses)]]
    if lengths := cut(passage, bar.start + bar.pulses, bar.start + 2 * bar.pulses, 2):
        climb = needs([step.chord.root.pc])
        visits.append(
            [OfferedChord(four, lengths[0]), OfferedChord(raised, lengths[1], (), climb, True)]
        )
    for visit in visits:
        yield offer("quick change", passage, index, index + 1, [first, *visit, back])


_Goals = dict[int, tuple[str, ...]]
_GOALS: dict[str, _Goals] = {
    "major": {2: ("minor",), 4: ("minor",), 7: ("dominant", "major"), 9: ("minor",)},
    "minor": {3: ("major",), 5: ("minor",), 8: ("major",), 10: ("major",)},
}
"""Degrees that are prepared by a ii and a V of their own, and the families they are of there."""
_BY_FIVE: dict[str, _Goals] = {"major": {5: ("major",)}, "minor": {7: ("dominant", "major")}}
"""Those that only a dominant prepares, as far as these swaps go."""
_DOMINANT_GOALS: _Goals = dict.fromkeys((2, 4, 9), ("minor", "dominant"))
"""Those that may be dominants themselves, where somebody asks."""


def _goals(passage: Passage, mode: str) -> _Goals:
    """Return what a secondary dominant may lead to."""
    more = _DOMINANT_GOALS if passage.asked and mode == "major" else {}
    return _GOALS[mode] | _BY_FIVE[mode] | more


def _two_five_into(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or goal.chord is None:
        return
    if not _rests(passage, index, blues=True):
        return
    asked = passage.asked and step.key.mode == "major"
    goals = _DOMINANT_GOALS | _BY_FIVE["major"] if asked else {}
    leads = goal.family in (_GOALS[step.key.mode] | goals).get(goal.degree, ())
    bar = passage.span_at(step.end - passage.grid_pulses)
    if goal.key == step.key and leads and step.start <= bar.start - bar.pulses:
        yield from _prepared(passage, index, goal, "ii–V into the next chord")


def _another_key(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.likely(index + 1)
    if step is None or goal is None or goal.chord is None or not _rests(passage, index):
        return
    if goal.key == step.key or not is_tonic(goal):
        return
    name = "ii–V into another key"
    yield from _prepared(passage, index, goal, name)
    five = chord(at(goal.chord.root, "5", goal.key), "7")
    if step.chord and five.root.pc != step.chord.root.pc:
        yield from then(passage, index, name, five, goal=goal)


def _rests(passage: Passage, index: int, *, blues: bool = False) -> bool:
    """Whether a chord is at rest and lasts to the end of its bar; perhaps the I7 of a blues."""
    step = passage.steps[index]
    bar = passage.span_at(step.end - passage.grid_pulses)
    ends = step.start <= bar.start and step.end == bar.start + bar.pulses
    if blues and step.degree == 0 and step.family == "dominant":
        return ends and step.key.mode == "major"
    return ends and step.family in AT_REST and not is_dominant_triad(passage, index)


def _prepared(passage: Passage, index: int, goal: Step, name: str) -> Iterator[Offer]:
    """Offer the ii and V of the chord ahead in the last bar; in a bar's chord the end of it."""
    step = passage.steps[index]
    bar = passage.span_at(step.end - passage.grid_pulses)
    whole = step.start < bar.start
    lengths = cut(passage, bar.start, step.end, 2 if whole else 3)
    if lengths is None or step.chord is None or goal.chord is None:
        return
    if goal.chord.root.pc == step.chord.root.pc:
        return
    two = chord(at(goal.chord.root, "2", goal.key), "m7b5" if goal.family == "minor" else "m7")
    five = chord(at(goal.chord.root, "5", goal.key), "7")
    rest, to_two, to_five = [*([bar.start - step.start] if whole else []), *lengths]
    parts = [
        OfferedChord(step.chord, rest),
        OfferedChord(two, to_two, (), needs([five.root.pc, five.root.pc + 6])),
        OfferedChord(five, to_five, (), needs([goal.chord.root.pc], soft=True)),
    ]
    yield offer(name, passage, index, index + 1, parts)


INSERTIONS: tuple[SwapRow, ...] = (
    SwapRow(
        "related ii",
        2,
        group="ii–V",
        when="a dominant of two beats or more that goes where dominants go, its ii not there yet",
        effect="G7 becomes Dm7 G7; into minor A7 becomes Em7b5 A7",
        reason="Every dominant can share its time with the ii of its own key, which prepares it.",
        listen="the seventh of ii waiting, then falling to the third of the dominant",
        melody="no held note a semitone above a tone of the ii",
        offers=_related_ii,
        preference=1.1,
    ),
    SwapRow(
        "ii of a substitute",
        3,
        group="tritone",
        when="a dominant of two beats or more that slides down a semitone, its ii not there yet",
        effect="Dm7 Db7 C6 becomes Abm7 Db7 C6; Ab7 G7 becomes Ebm7 Ab7 G7",
        reason="The dominant a tritone away may bring the ii of its own key along.",
        listen="a minor chord from far away that falls a fifth into the substitute",
        melody="no held note a semitone above a tone of the ii",
        offers=_two_of_substitute,
        preference=0.9,
    ),
    SwapRow(
        "secondary dominant",
        2,
        group="secondary",
        when="a chord at rest, or the I7 of a blues, of two beats or more before a diatonic chord"
        " it is not the fifth of",
        effect="C6 Dm7 becomes C6 A7 Dm7: the A7 enters in the second half of the bar",
        reason="Any chord of the key may be approached by its own dominant.",
        listen="its third, a leading tone, a semitone below the next root",
        melody="no held note a semitone above a tone of the dominant",
        offers=_secondary_dominant,
        preference=0.75,
    ),
    SwapRow(
        "ii–V into the next chord",
        2,
        group="ii–V",
        when="a chord at rest, or the I7 of a blues, of two bars or more before ii, iii, V or vi",
        effect="C C Am becomes C Bm7b5 E7 Am, both in one bar",
        reason="The chord ahead is heard as a tonic for a moment, so it may have its own ii and V.",
        listen="the seventh of ii falling to the third of V, then the new root",
        melody="no held note a semitone above a tone of the ii or the dominant",
        offers=_two_five_into,
        preference=1.25,
        set_piece=True,
    ),
    SwapRow(
        "ii–V into another key",
        2,
        group="ii–V",
        when="a chord at rest before the tonic of another key",
        effect="F into A flat becomes F Bbm7 Eb7 Ab, or F Eb7 Ab",
        reason="The new key is prepared by its own ii and V, so that it is expected when it comes.",
        listen="the third of the new V leading up to the new tonic",
        melody="no held note a semitone above a tone of the ii or the dominant",
        offers=_another_key,
        preference=2.0,
        set_piece=True,
    ),
    SwapRow(
        "I7 into IV",
        2,
        group="secondary",
        when="I of two beats or more before IV",
        effect="C6 F6 becomes C6 C7 F6",
        reason="With a major third and a flat seventh the tonic turns into the dominant of IV.",
        listen="its third, leading up a semitone to the root of IV",
        melody="no held major seventh of the tonic",
        offers=_one_seven_into_four,
        preference=1.2,
    ),
    SwapRow(
        "quick change",
        2,
        group="blues",
        when="a blues that opens with three or four bars of I7",
        effect="C7 C7 C7 C7 becomes C7 F7 C7 C7, or C7, F7 F#dim7, C7 C7",
        reason="The second bar of a blues may visit IV7 at once.",
        listen="the third of the tonic falling a semitone and coming back",
        melody="no held major third of the tonic in the second bar",
        offers=_quick_change,
        preference=1.0,
        flat_nine=False,
    ),
)
"""The rows that bring a dominant or its ii, and keep the written chord."""
