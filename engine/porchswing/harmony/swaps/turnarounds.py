"""Turnarounds: set pieces that lead the last bars of a phrase back to its beginning.

A turnaround belongs where the tune goes back to its tonic: on a held I at the end of a
stretch, on I V, or on I vi ii V. Common practice, no single source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from porchswing.harmony.passage.cutting import cut
from porchswing.harmony.passage.functions import free_step, is_tonic
from porchswing.harmony.passage.steps import (
    Offer,
    OfferedChord,
    Passage,
    Step,
    at,
    chord,
    needs,
    offer,
)
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key

_LINES = ((0,), (0, 7), (0, 7, 0), (0, 9, 2, 7))
_LONG_LINE = (0, 2, 7)
"""For one place alone, where I is as long as ii and V together."""
HOME_SHARE = 0.5
"""On which share of the ways on the tonic must come for a turnaround."""

Piece = tuple[str, str]
"""A degree above the tonic and a chord suffix."""

# pieces after the tonic; the fourth leads home
VI_TWO_FIVE = {
    "major": (("6", "7"), ("2", "m7"), ("5", "7")),
    "minor": (("6", "m7b5"), ("2", "m7b5"), ("5", "7b9")),
    "blues": (("6", "7"), ("2", "m7"), ("5", "7")),
}
DIMINISHED = {"major": (("#1", "dim7"), ("2", "m7"), ("#2", "dim7"))}
DIMINISHED_FIVE = {"major": (("#1", "dim7"), ("2", "m7"), ("5", "7"))}
BLUES_DIMINISHED = {"blues": (("#1", "dim7"), ("2", "m7"), ("5", "7"))}
DOMINANTS = {
    "major": (("6", "7"), ("2", "7"), ("5", "7")),
    "blues": (("6", "7"), ("2", "7"), ("5", "7")),
}
FIVE = {"major": (("5", "7"),), "minor": (("5", "7b9"),), "blues": (("5", "7"),)}
TWO_FIVE = {
    "major": (("2", "m7"), ("5", "7")),
    "minor": (("2", "m7b5"), ("5", "7b9")),
    "blues": (("2", "m7"), ("5", "7")),
}
FLAT_SIX = {
    "major": (("6", "m7"), ("b6", "7"), ("5", "7")),
    "blues": (("6", "7"), ("b6", "7"), ("5", "7")),
}
SIX_TWO_FIVE = {"minor": (("b6", "maj7"), ("2", "m7b5"), ("5", "7b9"))}
FOUR_AND_HOME = {"blues": (("4", "7"), ("1", "7"), ("5", "7"))}
FLAT = {
    "major": (("b3", "7"), ("b6", "7"), ("b2", "7")),
    "blues": (("b3", "7"), ("b6", "7"), ("b2", "7")),
    "minor": (("b3", "7"), ("b6", "7"), ("b2", "7")),
}
FLAT_MAJOR = {"major": (("b3", "maj7"), ("b6", "maj7"), ("b2", "maj7"))}


def _kind(step: Step) -> str | None:
    """Say what sort of tonic a step is: major, minor, blues (a dominant seventh) or none."""
    if step.degree != 0:
        return None
    if is_tonic(step):
        return step.key.mode
    return "blues" if step.family == "dominant" and step.key.mode == "major" else None


def _windows(passage: Passage, index: int, count: int) -> Iterator[tuple[int, list[int]]]:
    """Yield where a turnaround of so many chords may stop, and its lengths."""
    step = free_step(passage, index)
    if step is None or _kind(step) is None:
        return
    bar = passage.span_at(step.start).pulses
    for stop in _stops(passage, index):
        start, end = step.start, passage.steps[stop - 1].end
        if stop - index == 4:
            if count != 4:
                continue
            yield stop, [each.pulses for each in passage.steps[index:stop]]
        elif passage.asked and _is_long_line(passage.steps[index:stop]):
            lengths = cut(passage, start, end, count) if count == 4 else None
            if lengths:
                yield stop, lengths
        elif stop - index > 1:
            lengths = cut(passage, start, end, count) if end - start <= 4 * bar else None
            if lengths and sum(lengths[: max(1, count - 2)]) <= step.pulses:
                yield stop, lengths  # where V was written, only V, or ii and V
        else:
            yield from ((stop, lengths) for lengths in _held(passage, start, end, bar, count))


def _stops(passage: Passage, index: int) -> Iterator[int]:
    """Yield the ends of a tonic, of I V, I V I and I vi ii V that lead back to the tonic."""
    steps, key = passage.steps, passage.steps[index].key
    for count in (1, 2, 3, 4):
        window = steps[index : index + count]
        degrees = tuple(each.degree_in(key) for each in window)
        if len(window) < count or not all(each.freedom == "free" for each in window):
            return
        soft = count < 4 or window[1].family in ("minor", "half-diminished", "dominant")
        even = count != 2 or window[0].pulses == window[1].pulses
        known = degrees in _LINES or (passage.asked and _is_long_line(window))
        if known and soft and even and _home_after(passage, index, index + count):
            yield index + count


def _is_long_line(window: tuple[Step, ...]) -> bool:
    """Whether some steps are I ii V, the first as long as the others together."""
    lengths = [step.pulses for step in window]
    degrees = tuple(step.degree_in(window[0].key) for step in window)
    return degrees == _LONG_LINE and 2 * lengths[0] == sum(lengths)


def _held(passage: Passage, start: int, end: int, bar: int, count: int) -> Iterator[list[int]]:
    """Yield the lengths of so many chords in the time of one held chord.

    Its last two bars, its last four, or the one bar it has.
    """
    if start != passage.span_at(start).start:
        return
    for bars in (2, 4) if count == 4 else (2,):
        first = end - bars * bar
        if first >= start:
            lengths = cut(passage, first, end, count)
            if lengths:
                yield [first - start + lengths[0], *lengths[1:]]
    if end - start == bar:
        lengths = cut(passage, start, end, count)
        if lengths:
            yield lengths


def _home_after(passage: Passage, index: int, stop: int) -> bool:
    """Whether what follows a window is the tonic it started from, at least as often as not.

    I7 is home to a blues alone; to another tonic it is a dominant that leads on. A tonic that is
    held over a moving bass, ``A7 A7/G``, does not come back: it has not been left.
    """
    step = passage.steps[index]
    ahead = passage.steps[stop].chord if stop < len(passage.steps) else None
    if ahead is not None and ahead.bass is not None and replace(ahead, bass=None) == step.chord:
        return False
    away = ("diminished",) if step.family == "dominant" else ("diminished", "dominant")

    def home(goal: Step) -> bool:
        return (
            goal.chord is not None
            and step.chord is not None
            and goal.chord.root.pc == step.chord.root.pc
            and goal.family not in away
        )

    return passage.share_after(stop, home) >= HOME_SHARE


def _turnaround(
    name: str, table: Mapping[str, tuple[Piece, ...]]
) -> Callable[[Passage, int], Iterator[Offer]]:
    """Return the function that offers a turnaround wherever there is room for it."""

    def offers(passage: Passage, index: int) -> Iterator[Offer]:
        step = passage.steps[index]
        if step.degree:
            return
        pieces = table.get(_kind(step) or "")
        for stop, lengths in _windows(passage, index, 1 + len(pieces or ())):
            if table in (FOUR_AND_HOME, BLUES_DIMINISHED) and stop - index == 4:
                continue  # the written VI ii V is nearer home
            if pieces is None or step.chord is None:
                continue
            if any(length % passage.grid_pulses or not length for length in lengths):
                continue
            chords = [step.chord, *(piece_of(step.key, piece) for piece in pieces)]
            if stop - index == len(chords) and _adds_nothing(chords, passage.steps[index:stop]):
                continue
            yield offer(name, passage, index, stop, _linked(chords, lengths, step))

    return offers


def _adds_nothing(chords: list[Chord], olds: tuple[Step, ...]) -> bool:
    """Whether the written chords are these already, or a written dominant would turn minor.

    A triad that grows a seventh is the same chord: that is for colours to say.
    """
    pairs = [(new, old.chord) for new, old in zip(chords, olds, strict=True) if old.chord]
    families = [(new.quality.family, old.quality.family) for new, old in pairs]
    same = all(new.root.pc == old.root.pc for new, old in pairs)
    alike = all(a == b or (a, b) == ("dominant", "major") for a, b in families)
    return ("minor", "dominant") in families or (same and alike)


def _linked(chords: list[Chord], lengths: Sequence[int], home: Step) -> list[OfferedChord]:
    """Return parts that need their successor, or its tritone partner, and the tonic at last.

    A diminished chord climbs, so no partner will do after it.
    """
    afters = [
        needs([after.root.pc] if climbs(chord) else [after.root.pc, after.root.pc + 6])
        for chord, after in pairwise(chords)
    ]
    afters.append(needs([home.key.tonic.pc], soft=True))
    return [
        OfferedChord(new, pulses, (), after, climbs(new))
        for new, pulses, after in zip(chords, lengths, afters, strict=True)
    ]


def climbs(chord: Chord) -> bool:
    """Say whether a chord climbs to the next: a diminished one."""
    return chord.quality.family == "diminished"


def piece_of(key: Key, piece: Piece) -> Chord:
    """Return a piece as a chord of a key."""
    return chord(at(key.tonic, piece[0], key), piece[1])


def _three_six_two_five(passage: Passage, index: int) -> Iterator[Offer]:
    """Let a long tonic keep its arrival and end in III7 VI7 II7 V7."""
    step = free_step(passage, index)
    if step is None or step.chord is None:
        return
    name = "turnaround III VI II V"
    table = (("3", "7"), ("6", "7"), ("2", "7"), ("5", "7"))
    bar = passage.span_at(step.start).pulses
    pieces = [piece_of(step.key, piece) for piece in table]
    long = is_tonic(step) and step.key.mode == "major" and step.pulses >= 3 * bar
    lengths = cut(passage, step.end - 2 * bar, step.end, 4) if long else None
    if lengths and _home_after(passage, index, index + 1):
        parts = [
            OfferedChord(step.chord, step.pulses - 2 * bar),
            *_linked(pieces, lengths, step),
        ]
        yield offer(name, passage, index, index + 1, parts)


TURNAROUNDS: tuple[SwapRow, ...] = (
    SwapRow(
        "turnaround I V7",
        2,
        when="I, before I comes back",
        effect="C6 C6 becomes C6 G7",
        reason="The dominant in the last bar turns the end of the phrase back to its beginning.",
        listen="the third of V leading up to the tonic",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround I V7", FIVE),
        preference=1.0,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I ii V7",
        2,
        when="I, I V or I V I, before I comes back",
        effect="C6 C6 becomes C6 Dm7 G7",
        reason="ii and V in the last bar turn the end of the phrase back to its beginning.",
        listen="the seventh of ii falling to the third of V",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround I ii V7", TWO_FIVE),
        preference=1.2,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I VI7 ii V7",
        2,
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 C6 becomes C6 A7 Dm7 G7; in minor Cm6 Am7b5 Dm7b5 G7b9",
        reason="A falling chain of fifths starts from home and leads home again.",
        listen="the falling fifths: each seventh falls to the third of the next chord",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround I VI7 ii V7", VI_TWO_FIVE),
        preference=1.3,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I ♯I° ii V7",
        2,
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 Am7 Dm7 G7 becomes C6 C#dim7 Dm7 G7",
        reason="The diminished chord is VI7 with a flat nine and no root; the bass climbs.",
        listen="the bass climbing by semitones from I to ii",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_turnaround("turnaround I ♯I° ii V7", DIMINISHED_FIVE),
        preference=1.45,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I7 ♯I° ii V7",
        3,
        when="I7 or I7 V7 in the last bars of a blues, before I7 comes back",
        effect="C7 G7 becomes C7 C#dim7 Dm7 G7",
        reason="The diminished chord is VI7 with a flat nine and no root; the bass climbs.",
        listen="the bass climbing by semitones from I to ii",
        melody="no held note a semitone above a tone of the diminished chord",
        offers=_turnaround("turnaround I7 ♯I° ii V7", BLUES_DIMINISHED),
        preference=1.0,
        set_piece=True,
        source="guitar magazine, Nuggets, fig. 3",
    ),
    SwapRow(
        "turnaround I ♯I° ii ♯II°",
        3,
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 Am7 Dm7 G7 becomes C6 C#dim7 Dm7 D#dim7",
        reason="The bass climbs by semitones until the third of the tonic takes it over.",
        listen="the bass climbing by semitones all the way to the third of I",
        melody="no held note a semitone above a tone of the diminished chords",
        offers=_turnaround("turnaround I ♯I° ii ♯II°", DIMINISHED),
        preference=1.2,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I VI II V dominants",
        3,
        group="chain",
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="Eb6 Cm7 Fm7 Bb7 becomes Eb6 C7 F7 Bb7",
        reason="Dominants all the way: every third falls a semitone to the seventh of the next.",
        listen="two strings falling by semitones through all the dominants",
        melody="no held minor third of a chord that turns dominant",
        offers=_turnaround("turnaround I VI II V dominants", DOMINANTS),
        preference=1.2,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I vi ♭VI7 V7",
        3,
        group="tritone",
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 Am7 Dm7 G7 becomes C6 Am7 Ab7 G7; in a blues C7 A7 Ab7 G7",
        reason="A dominant a semitone above V slides into it in the place of ii.",
        listen="the bass falling by semitones from vi to V",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround I vi ♭VI7 V7", FLAT_SIX),
        preference=1.25,
        set_piece=True,
        flat_nine=False,
    ),
    SwapRow(
        "turnaround i ♭VI iiø V7",
        2,
        when="i, i V, i V i or i vi ii V in minor, before i comes back",
        effect="Cm6 becomes Cm6 Abmaj7 Dm7b5 G7b9",
        reason="The sixth degree of the minor scale stands for i and leads down to iiø and V.",
        listen="the third of i staying as the fifth of ♭VI",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround i ♭VI iiø V7", SIX_TWO_FIVE),
        preference=1.15,
        set_piece=True,
    ),
    SwapRow(
        "turnaround I IV I V",
        2,
        when="I7 or I7 V7 in the last bars of a blues, before I7 comes back",
        effect="C7 G7 becomes C7 F7 C7 G7",
        reason="The last two bars of a blues visit IV once more before V.",
        listen="the third of I falling to the flat seventh of IV and coming back",
        melody="no held third of the tonic over IV",
        offers=_turnaround("turnaround I IV I V", FOUR_AND_HOME),
        preference=1.1,
        set_piece=True,
    ),
    SwapRow(
        "turnaround III VI II V",
        3,
        group="chain",
        when="three bars of I or more before I comes back; the first bars keep the tonic",
        effect="three bars of I become I, then dominants on III, VI, II and V",
        reason="The chain of dominants starts a step further out.",
        listen="one string falling by semitones through four chords",
        melody="no held note a semitone above a new tone",
        offers=_three_six_two_five,
        preference=1.5,
        set_piece=True,
    ),
    SwapRow(
        "turnaround ♭III ♭VI ♭II",
        4,
        group="tritone",
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 Am7 Dm7 G7 becomes C6 Eb7 Ab7 Db7",
        reason="Each dominant of the turnaround gives way to the one a tritone off.",
        listen="falling fifths from far away, and the last root falling a semitone home",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround ♭III ♭VI ♭II", FLAT),
        preference=1.7,
        set_piece=True,
        flat_nine=False,
        repeat_penalised=True,
    ),
    SwapRow(
        "turnaround ♭III ♭VI ♭II in major sevenths",
        4,
        group="tritone",
        when="I, I V, I V I or I vi ii V, before I comes back",
        effect="C6 Am7 Dm7 G7 becomes Cmaj7 Ebmaj7 Abmaj7 Dbmaj7",
        reason="The roots of the flat turnaround carry chords of rest, each of them far from home.",
        listen="the last chord sliding down a semitone home",
        melody="no held note a semitone above a new tone",
        offers=_turnaround("turnaround ♭III ♭VI ♭II in major sevenths", FLAT_MAJOR),
        preference=0.9,
        set_piece=True,
        flat_nine=False,
        rare=True,
        source="open encyclopedia, Tadd Dameron turnaround, Construction",
    ),
)
"""The turnarounds."""
