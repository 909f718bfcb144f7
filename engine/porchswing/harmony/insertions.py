"""Swaps that put a chord before or after the written one: ii–V's, passing chords, lines.

The written chord stays, so its function does; it only shares its beats. Common practice, no
single source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from porchswing.harmony.colours import (
    falls_fifth,
    falls_semitone,
    is_dominant_triad,
    is_tonic,
)
from porchswing.harmony.row import SwapRow
from porchswing.harmony.steps import (
    Need,
    Offer,
    Part,
    Passage,
    Step,
    at,
    chord,
    is_strong,
    needs,
    offer,
    strong_split,
)
from porchswing.theory.chords import Chord

AT_REST = frozenset({"major", "minor"})
_NO_SEVENTH = frozenset({"", "6", "6/9", "maj7", "m", "m6", "m7", "m6/9", "m9"})


def is_dominant(passage: Passage, index: int) -> bool:
    """Whether a chord works as a dominant, its seventh written or not."""
    step = passage.steps[index]
    return step.family == "dominant" or is_dominant_triad(passage, index)


def goes_home(passage: Passage, index: int) -> bool:
    """Whether a dominant moves as dominants do: down a fifth or a semitone, or it is V."""
    step, goal = passage.steps[index], passage.following(index + 1)
    return falls_fifth(step, goal) or falls_semitone(step, goal) or step.degree == 7


def root_need(goal: Step) -> tuple[Need, ...]:
    """Return the need for a neighbour on the root of a step."""
    return needs([goal.chord.root.pc]) if goal.chord else ()


def last_part(passage: Passage, step: Step) -> Fraction | None:
    """Return the beat where the second half of a chord's last bar starts, within the chord.

    A chord of half a bar or less is halved; ``None`` where it has but one felt beat.
    """
    span = passage.span_at(step.end - passage.grid_beats)
    split = strong_split(passage, max(span.start, step.start), step.end)
    return split if split is not None and split > step.start else None


def free_step(passage: Passage, index: int) -> Step | None:
    """Return a step that may be changed, ``None`` where it may not."""
    step = passage.steps[index]
    return step if step.freedom == "free" and step.chord and not step.fixed_colour else None


def _then(
    passage: Passage,
    index: int,
    name: str,
    extra: Chord,
    first: Chord | None = None,
    *,
    fixed: bool = False,
) -> Iterator[Offer]:
    """Offer the written chord and then another one into the chord that follows."""
    step, goal = passage.steps[index], passage.following(index + 1)
    split = last_part(passage, step)
    if split is None or goal is None or step.chord is None:
        return
    yield offer(
        name,
        passage,
        index,
        index + 1,
        [
            Part(first or step.chord, split - step.start),
            Part(extra, step.end - split, needs([step.chord.root.pc]), root_need(goal), fixed),
        ],
    )


def _related_ii(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or step.chord is None or not is_dominant(passage, index):
        return
    if step.beats < 2 * passage.grid_beats or not goes_home(passage, index):
        return
    if step.beats > 2 * passage.span_at(step.start).beats:
        return
    to_minor = goal is not None and falls_fifth(step, goal) and goal.family == "minor"
    in_minor = step.degree == 7 and step.key.mode == "minor"
    root = at(step.chord.root, "5", step.key)
    two = chord(root, "m7b5" if to_minor or in_minor else "m7")
    before = passage.previous(index)
    softer = ["minor", "half-diminished"]
    if before and before.chord and before.chord.root.pc == root.pc and before.family in softer:
        return
    split = strong_split(passage, step.start, step.end)
    if split is None:
        return
    five = chord(step.chord.root, "7") if step.family != "dominant" else step.chord
    pc = step.chord.root.pc
    no_other_two = needs([root.pc], softer, forbid=True)
    yield offer(
        "related ii",
        passage,
        index,
        index + 1,
        [
            Part(two, split - step.start, no_other_two, needs([pc, pc + 6])),
            Part(five, step.end - split),
        ],
    )


def _secondary_dominant(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or goal.chord is None or step.chord is None:
        return
    if step.family not in AT_REST or is_dominant_triad(passage, index) or falls_fifth(step, goal):
        return
    if goal.degree == 0 or goal.family not in (*AT_REST, "dominant") or goal.key != step.key:
        return
    if goal.chord.root.pc == step.chord.root.pc:
        return
    major = step.key.mode == "major"
    targets = (
        {2: "minor", 4: "minor", 5: "major", 7: "dominant", 9: "minor"}
        if major
        else {3: "major", 5: "minor", 7: "dominant", 8: "major", 10: "major"}
    )
    wanted = targets.get(goal.degree)
    if wanted is None or (
        goal.family != wanted and not (wanted == "dominant" and goal.family == "major")
    ):
        return
    five = chord(at(goal.chord.root, "5", step.key), "7")
    yield from _then(passage, index, "secondary dominant", five)


def _one_seven_into_four(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or step.degree != 0:
        return
    if step.family not in AT_REST or not falls_fifth(step, goal) or goal.family == "diminished":
        return
    first = step.chord if step.family == step.key.mode else None
    yield from _then(passage, index, "I7 into IV", chord(step.chord.root, "7"), first)


def _diminished_up(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or goal.chord is None:
        return
    rise = (goal.chord.root.pc - step.chord.root.pc) % 12
    blues_four = step.degree == 5 and step.family == "dominant"
    if step.family not in AT_REST and not blues_four:
        return
    up = rise == 2 and step.degree in (0, 2, 5, 7) and step.family in AT_REST
    home = step.degree == 5 and goal.degree == 0
    if not (up or home) or goal.family not in ("major", "minor", "dominant"):
        return
    if step.key.mode == "minor" and step.degree != 5:
        return
    raised = chord(at(step.chord.root, "#1", step.key), "dim7")
    yield from _then(passage, index, "passing diminished up", raised, fixed=True)


def _diminished_down(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or goal.chord is None:
        return
    third = step.degree == 4 and step.family == "minor"
    if third and goal.degree == 2 and goal.family in ("minor", "dominant"):
        flat = chord(at(step.key.tonic, "b3", step.key), "dim7")
        yield from _then(passage, index, "passing diminished down", flat, fixed=True)


def _minor_iv(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None:
        return
    if step.key.mode != "major" or step.degree != 5 or step.family != "major":
        return
    if goal.degree == 0 and goal.family == "major":
        yield from _then(passage, index, "minor iv", chord(step.chord.root, "m6"), fixed=True)


def _pieces(passage: Passage, step: Step, count: int) -> list[Fraction] | None:
    """Cut a chord in equal pieces that all start on strong beats, each two felt beats or more."""
    piece = step.beats / count
    if piece % passage.grid_beats or piece < 2 * passage.grid_beats:
        return None
    starts = [step.start + piece * place for place in range(count)]
    return [piece] * count if all(is_strong(passage, start) for start in starts) else None


def _line(
    passage: Passage, index: int, name: str, suffixes: tuple[str, ...], goal: Step | None = None
) -> Iterator[Offer]:
    """Offer a held chord as a line of colours over one root, perhaps with a goal."""
    step = passage.steps[index]
    pieces = _pieces(passage, step, len(suffixes))
    if pieces is None or step.chord is None:
        return
    parts = [
        Part(chord(step.chord.root, suffix), piece, fixed_colour=True)
        for suffix, piece in zip(suffixes, pieces, strict=True)
    ]
    if goal is not None:
        parts[-1] = replace(parts[-1], after=root_need(goal))
    yield offer(name, passage, index, index + 1, parts)


def _minor_line(passage: Passage, index: int) -> Iterator[Offer]:
    step = free_step(passage, index)
    if step is None or step.suffix not in ("m", "m6", "m7"):
        return
    if step.beats >= 2 * passage.span_at(step.start).beats:
        yield from _line(passage, index, "minor line cliché", ("m", "mMaj7", "m7", "m6"))


def _major_line(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or step.family != "major" or is_dominant_triad(passage, index):
        return
    if step.beats < 2 * passage.span_at(step.start).beats:
        return
    if falls_fifth(step, goal) and step.degree == 0:
        yield from _line(passage, index, "major line cliché", ("", "aug", "6", "7"), goal)
    if step.degree in (0, 5):
        yield from _line(passage, index, "major line cliché", ("maj7", "6"))


def _side_slip(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or goal.chord is None or step.chord is None:
        return
    if step.beats < 3 * passage.grid_beats or goal.family not in ("dominant", "minor", "major"):
        return
    if (step.chord.root.pc - goal.chord.root.pc) % 12 in (0, 1):
        return
    if goal.family != "dominant" and not is_tonic(goal):
        return
    above = Chord(at(goal.chord.root, "b2", step.key), goal.chord.quality)
    yield offer(
        "side-slip",
        passage,
        index,
        index + 1,
        [
            Part(step.chord, step.beats - passage.grid_beats),
            Part(above, passage.grid_beats, (), root_need(goal)),
        ],
    )


def _quick_change(passage: Passage, index: int) -> Iterator[Offer]:
    step = free_step(passage, index)
    if step is None or step.chord is None or step.degree != 0 or step.family != "dominant":
        return
    bar = passage.span_at(step.start)
    if step.start != bar.start or not 3 * bar.beats <= step.beats <= 4 * bar.beats:
        return
    if bar.index:
        return
    four = chord(at(step.chord.root, "4", step.key), "7")
    yield offer(
        "quick change",
        passage,
        index,
        index + 1,
        [
            Part(step.chord, bar.beats),
            Part(four, bar.beats),
            Part(step.chord, step.beats - 2 * bar.beats),
        ],
    )


INSERTIONS: tuple[SwapRow, ...] = (
    SwapRow(
        "related ii",
        2,
        when="a dominant of two beats or more that goes where dominants go, its ii not there yet",
        effect="G7 becomes Dm7 G7; into minor A7 becomes Em7b5 A7",
        reason="Every dominant can share its time with the ii of its own key, which prepares it.",
        listen="the C of Dm7 waiting, then falling to the B of G7",
        melody="no held note a semitone above a tone of the ii",
        offers=_related_ii,
        taste=1.1,
    ),
    SwapRow(
        "secondary dominant",
        2,
        when="a chord at rest of two beats or more before a diatonic chord it is not the fifth of",
        effect="C6 Dm7 becomes C6 A7 Dm7: the A7 enters in the second half of the bar",
        reason="Any chord of the key may be approached by its own dominant.",
        listen="the C sharp of A7 leading to the D",
        melody="no held note a semitone above a tone of the dominant",
        offers=_secondary_dominant,
        taste=0.75,
    ),
    SwapRow(
        "I7 into IV",
        2,
        when="I of two beats or more before IV",
        effect="C6 F6 becomes C6 C7 F6",
        reason="With its seventh flat the tonic turns into the dominant of IV.",
        listen="the B flat of C7 falling to the A of F6",
        melody="no held major seventh of the tonic",
        offers=_one_seven_into_four,
        taste=1.2,
    ),
    SwapRow(
        "passing diminished up",
        2,
        when="two chords whose roots rise a whole tone (I ii, ii iii, IV V, V vi), or IV to I",
        effect="C6 Dm7 becomes C6 C#dim7 Dm7; F6 C6 becomes F6 F#dim7 C6",
        reason="The diminished chord fills the whole tone in the bass; it is the next chord's"
        " dominant with a flat nine and no root.",
        listen="the bass climbing by semitones",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_diminished_up,
        taste=1.15,
    ),
    SwapRow(
        "passing diminished down",
        2,
        when="iii before ii",
        effect="Em7 Dm7 becomes Em7 Ebdim7 Dm7",
        reason="The whole shape slides down by semitones from iii to ii.",
        listen="every string falling a fret at a time",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_diminished_down,
        taste=1.15,
    ),
    SwapRow(
        "quick change",
        2,
        when="a blues that opens with three or four bars of I7",
        effect="C7 C7 C7 C7 becomes C7 F7 C7 C7",
        reason="The second bar of a blues may visit IV7 at once.",
        listen="the E falling to the E flat and coming back",
        melody="no held major third of the tonic in the second bar",
        offers=_quick_change,
        taste=1.0,
    ),
    SwapRow(
        "minor iv",
        3,
        when="IV of two beats or more going home to I in major",
        effect="F6 C6 becomes F6 Fm6 C6",
        reason="The third of IV falls by a semitone on its way to the fifth of I.",
        listen="A, A flat, G on one string",
        melody="no held natural third of IV",
        offers=_minor_iv,
        taste=1.0,
    ),
    SwapRow(
        "minor line cliché",
        3,
        when="a minor chord held for two bars or more",
        effect="Cm Cm becomes Cm CmMaj7 Cm7 Cm6",
        reason="One note falls by semitones from the root while the chord stands still.",
        listen="C, B, B flat, A on one string",
        melody="no held root over the major seventh",
        offers=_minor_line,
        taste=1.6,
    ),
    SwapRow(
        "major line cliché",
        3,
        when="a major I or IV held for two bars or more",
        effect="C C becomes Cmaj7 C6, or before F: C C+ C6 C7",
        reason="One note moves by step while the chord stands still.",
        listen="B to A on one string, or G, G sharp, A, B flat",
        melody="no held root over the major seventh, no held sixth over the raised fifth",
        offers=_major_line,
        taste=0.7,
    ),
    SwapRow(
        "side-slip",
        4,
        when="a chord of three beats or more before a dominant or a tonic",
        effect="C6 A7 becomes C6 Bb7 A7, the Bb7 on the last beat",
        reason="The next grip comes in from a fret above: the ear hears it slide home.",
        listen="the whole hand sliding down one fret",
        melody="no held note a semitone above a tone of the chord slid from",
        offers=_side_slip,
        taste=0.9,
    ),
)
"""The rows that keep the written chord and add to it."""
