"""Swaps that fill the way from a written chord to the next: passing chords and inner lines.

The written chord stays, so its function does; it only shares its beats. Common practice, no
single source.
"""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.harmony.passage.cutting import cut
from porchswing.harmony.passage.functions import (
    AT_REST,
    falls_fifth,
    free_step,
    is_dominant_triad,
    is_tonic,
    root_need,
    then,
)
from porchswing.harmony.passage.steps import (
    Offer,
    OfferedChord,
    Passage,
    Step,
    at,
    chord,
    offer,
)
from porchswing.harmony.swaps.formulas import Formula, span_row
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord


def _diminished_up(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or goal.chord is None:
        return
    degrees = (0, 2, 5, 7) if step.key.mode == "major" else (5,)
    low = goal.chord.bass_note if passage.asked else goal.chord.root
    rises = (low.pc - step.chord.root.pc) % 12 == 2 and step.degree in degrees
    borrowed = step.degree == 5 and step.family != step.key.mode
    aside = passage.asked and step.degree == 7 and step.family == "dominant"
    if not (step.family in AT_REST or aside) or borrowed or not rises:
        return
    if goal.family in ("major", "minor", "dominant"):
        raised = chord(at(step.chord.root, "#1", step.key), "dim7")
        name = "passing diminished up"
        yield from then(passage, index, name, raised, fixed=True, whole_bar=True)


def _raised_four_home(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None:
        return
    plain = step.family == step.key.mode or step.family == "dominant"
    if step.degree != 5 or goal.degree_in(step.key) != 0 or not plain:
        return
    if goal.family in ("major", "minor", "dominant"):
        raised = chord(at(step.chord.root, "#1", step.key), "dim7")
        yield from then(passage, index, "♯IV° to I", raised, fixed=True, whole_bar=True)


def _diminished_down(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None or goal.chord is None:
        return
    third = step.degree == 4 and step.family == "minor"
    if third and goal.degree_in(step.key) == 2 and goal.family in ("minor", "dominant"):
        flat = chord(at(step.key.tonic, "b3", step.key), "dim7")
        yield from then(passage, index, "passing diminished down", flat, fixed=True)


def _minor_iv(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or step.chord is None:
        return
    blues = step.family == goal.family == "dominant" and passage.asked
    if step.key.mode != "major" or step.degree != 5 or not (step.family == "major" or blues):
        return
    if goal.degree_in(step.key) == 0 and (goal.family == "major" or blues):
        minor = chord(step.chord.root, "m6")
        yield from then(passage, index, "minor iv", minor, fixed=True, whole_bar=blues)
        if passage.asked:
            whole = OfferedChord(minor, step.pulses, (), root_need(goal), fixed_colour=True)
            yield offer("minor iv", passage, index, index + 1, [whole])


def _line(
    passage: Passage,
    index: int,
    name: str,
    suffixes: tuple[str, ...],
    goal: Step | None = None,
    pulses: int | None = None,
) -> Iterator[Offer]:
    """Offer a held chord as a line of colours over one root, perhaps with a goal.

    The line takes the whole chord, or so many pulses of it and leaves the rest as it is.
    """
    step = passage.steps[index]
    end = step.start + (pulses or step.pulses)
    pieces = cut(passage, step.start, end, len(suffixes))
    if pieces is None or step.chord is None:
        return
    parts = [
        OfferedChord(chord(step.chord.root, suffix), piece, fixed_colour=True)
        for suffix, piece in zip(suffixes, pieces, strict=True)
    ]
    if goal is not None:
        parts[-1] = parts[-1]._replace(after=root_need(goal))
    if end < step.end:
        parts.append(OfferedChord(step.chord, step.end - end))
    yield offer(name, passage, index, index + 1, parts)


def _minor_line(passage: Passage, index: int) -> Iterator[Offer]:
    step = free_step(passage, index)
    if step is None or step.suffix not in ("m", "m6", "m7"):
        return
    if step.pulses >= 2 * passage.span_at(step.start).pulses:
        yield from _line(passage, index, "minor line cliché", ("m", "mMaj7", "m7", "m6"))


def _major_line(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or step.family != "major" or is_dominant_triad(passage, index):
        return
    if step.pulses < 2 * passage.span_at(step.start).pulses:
        return
    if falls_fifth(step, goal) and step.degree == 0:
        yield from _line(passage, index, "major line cliché", ("", "aug", "6", "7"), goal)
    even = step.pulses % (2 * passage.span_at(step.start).pulses) == 0
    if step.degree in (0, 5) and even:
        yield from _line(passage, index, "major line cliché", ("maj7", "6"))
    if step.degree == 0 and passage.asked:
        two = 2 * passage.span_at(step.start).pulses
        pulses = None if even else two
        yield from _line(passage, index, "major line cliché", ("", "maj7", "7", "6"), pulses=pulses)


def _side_slip(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or goal.chord is None or step.chord is None or step.deeds:
        return  # another swap's chord leads on already
    if step.pulses < 3 * passage.grid_pulses or goal.family not in ("dominant", "minor", "major"):
        return
    if (step.chord.root.pc - goal.chord.root.pc) % 12 in (0, 1):
        return
    if goal.family != "dominant" and not is_tonic(goal):
        return
    if goal.plain and goal.plain.root.pc != goal.chord.root.pc and not passage.asked:
        return  # what slides in leads to a chord of the tune
    above = Chord(at(goal.chord.root, "b2", step.key), goal.chord.quality)
    yield offer(
        "side-slip",
        passage,
        index,
        index + 1,
        [
            OfferedChord(step.chord, step.pulses - passage.grid_pulses),
            OfferedChord(
                above, passage.grid_pulses, (), root_need(goal), fixed_colour=True, mirrors=True
            ),
        ],
    )


F = Formula
PASSING: tuple[SwapRow, ...] = (
    SwapRow(
        "passing diminished up",
        2,
        group="diminished",
        when="two chords whose roots rise a whole tone: I ii, ii iii, IV V, V vi; iv V in minor",
        effect="C6 Dm7 becomes C6 C#dim7 Dm7",
        reason="The diminished chord fills the whole tone in the bass; it is the next chord's"
        " dominant with a flat nine and no root.",
        listen="the bass climbing by semitones",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_diminished_up,
        preference=1.15,
    ),
    SwapRow(
        "♯IV° to I",
        2,
        group="diminished",
        when="IV going home to I, in major, minor or the blues",
        effect="F6 C6 becomes F6 F#dim7 C6; F7 F7 C7 becomes F7 F#dim7 C7",
        reason="IV with a raised root holds the tonic note; the others close in on I by step.",
        listen="the raised root climbing to the fifth of I while the tonic note stays",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_raised_four_home,
        preference=1.15,
    ),
    SwapRow(
        "passing diminished down",
        2,
        group="diminished",
        when="iii before ii",
        effect="Em7 Dm7 becomes Em7 Ebdim7 Dm7",
        reason="Root and third slide down by semitones from iii to ii; the diminished chord fills"
        " the step between.",
        listen="root and third falling a semitone at a time; fifth and seventh of ii are there"
        " already",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_diminished_down,
        preference=1.15,
    ),
    SwapRow(
        "minor iv",
        3,
        group="backdoor",
        when="IV of two beats or more going home to I in major",
        effect="F6 C6 becomes F6 Fm6 C6",
        reason="The third of IV falls by a semitone on its way to the fifth of I.",
        listen="third of IV, its flat third, fifth of I: semitones down one string",
        melody="no held natural third of IV",
        offers=_minor_iv,
        preference=1.0,
    ),
    SwapRow(
        "minor line cliché",
        3,
        group="line",
        when="a minor chord held for two bars or more",
        effect="Cm Cm becomes Cm CmMaj7 Cm7 Cm6",
        reason="One note falls by semitones from the root while the chord stands still.",
        listen="root, major seventh, flat seventh, sixth: down one string by semitones",
        melody="no held root over the major seventh",
        offers=_minor_line,
        preference=1.6,
        repeat_penalised=True,
    ),
    SwapRow(
        "major line cliché",
        3,
        group="line",
        when="a major I or IV held for two bars or more",
        effect="C C becomes Cmaj7 C6, or before F: C C+ C6 C7",
        reason="One note moves by step while the chord stands still.",
        listen="one note moving by step while the others stand",
        melody="no held root over the major seventh, no held sixth over the raised fifth",
        offers=_major_line,
        preference=0.7,
    ),
    SwapRow(
        "side-slip",
        4,
        group="slip",
        when="a chord of three beats or more before a dominant or a tonic of the tune",
        effect="C6 A7 becomes C6 Bb7 A7, the Bb7 on the last beat",
        reason="The next grip comes in from a fret above: the ear hears it slide home.",
        listen="the whole hand sliding down one fret",
        melody="no held note a semitone above a tone of the chord slid from",
        offers=_side_slip,
        preference=1.6,
        flat_nine=False,
        repeat_penalised=True,
    ),
    span_row(
        "diatonic passing chord",
        3,
        0.3,
        F("1:M", "3:m", "=0 2:m7!", bars=(0.5, 4), tied=True),
        F("3:m", "1:M", "=0 2:m7!", bars=(0.5, 4), tied=True),
        F("2:m", "4:M", "=0 3:m7!", bars=(0.5, 4), tied=True),
        F("4:M", "2:2", "=0 3:m7!", bars=(0.5, 4), tied=True),
        group="bass",
        when="two chords of the key a third apart: I iii, iii I, ii IV, IV ii",
        effect="C Em7 becomes C Dm7 Em7",
        reason="The chord on the step between them takes the bass up or down the scale.",
        listen="the bass going by steps where it leapt a third",
        rare=True,
        source="open encyclopedia, Passing chord",
    ),
    span_row(
        "diminished into the next chord",
        3,
        0.4,
        F("1:M", "6:m|6:d", "=0 #5:dim7", bars=(0.5, 4)),
        F("1:M", "5:D", "=0 #4:dim7", bars=(0.5, 4)),
        F("1:M", "3:m", "=0 #2:dim7", bars=(0.5, 4)),
        F("6:m", "2:2", "=0 #1:dim7", bars=(0.5, 4)),
        group="diminished",
        when="I before iii, V or vi, and vi before ii",
        effect="C Am7 becomes C G#dim7 Am7",
        reason="The diminished chord a semitone below is the next chord's dominant with a flat nine"
        " and no root.",
        listen="the bass climbing a semitone into the next chord",
        rare=True,
    ),
    span_row(
        "minor iv for ii",
        3,
        0.4,
        F("2:m", "5:D", "4:m7", bars=(0.5, 2)),
        F("2:m", "5:D", "=0 4:m7", bars=(0.5, 4)),
        group="backdoor",
        when="ii before V in major",
        effect="Dm7 G7 becomes Fm7 G7, or Dm7 Fm7 G7",
        reason="The subdominant of the minor key leads to V as ii does, with a flat sixth in it.",
        listen="the flat sixth of the key, a semitone above the root of V",
        rare=True,
        source="Open Music Theory, VI. Jazz, Substitutions, mode mixture",
    ),
    span_row(
        "V7 before I",
        3,
        0.1,
        F("4:M|4:m", "1:M", "=0 5:7", bars=(0.5, 4)),
        F("2:2", "1:M", "=0 5:7", bars=(0.5, 4)),
        group="secondary",
        when="IV, iv or ii going home without V",
        effect="Fm C becomes Fm G7 C",
        reason="A cadence without the dominant gets one on its last beats.",
        listen="the third of V, a semitone under the tonic",
        rare=True,
    ),
    span_row(
        "I IV I",
        3,
        0.3,
        F("1:M", "", "=0 4:maj7 =0", bars=(2, 4)),
        group="stand-in",
        when="I held for two bars to four",
        effect="C C C becomes C Fmaj7 C",
        reason="A long tonic visits its subdominant and comes back, as in an amen.",
        listen="third and fifth of I moving up a step and falling back",
        rare=True,
    ),
)
"""The rows that fill the way from one written chord to the next."""
