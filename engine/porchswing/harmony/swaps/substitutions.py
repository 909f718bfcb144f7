"""Swaps that put another chord in the place of the written one.

Most rest on arithmetic: a dominant and the one a tritone away have the same third and seventh
in exchange; a dominant with a flat nine and no root is a diminished seventh; C6 and Am7 are
the same four notes. The ending tag stands for the last bars of a tune. The rest is common practice,
no single source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from porchswing.harmony.passage.cutting import cut
from porchswing.harmony.passage.functions import (
    AT_REST,
    falls_fifth,
    free_step,
    is_dominant,
    is_tonic,
    last_part,
    root_need,
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
from porchswing.harmony.swaps.turnarounds import Piece, climbs, piece_of
from porchswing.theory.chords import Chord


def _falling_dominant(passage: Passage, index: int) -> tuple[Step, Step] | None:
    """Return a dominant and the chord a fifth below that follows it."""
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or goal is None or not is_dominant(passage, index):
        return None
    return (step, goal) if falls_fifth(step, goal) else None


def _instead(
    passage: Passage,
    index: int,
    name: str,
    new: Chord,
    after: tuple[Need, ...],
    *,
    fixed: bool = False,
    halved: bool = True,
) -> Iterator[Offer]:
    """Offer a chord for all of the written one, or for its second half where it is long.

    What lasts more than a bar is heard first, and gives up its last bar at most.
    """
    step = passage.steps[index]
    bar = passage.span_at(step.end - passage.grid_pulses)
    short = step.pulses <= bar.pulses or passage.asked
    if step.degree and short:  # a blues tonic is heard first
        yield offer(
            name, passage, index, index + 1, [OfferedChord(new, step.pulses, (), after, fixed)]
        )
    splits = {bar.start} if step.pulses > bar.pulses else set()
    if halved and step.pulses >= 4 * passage.grid_pulses:
        splits.add(strong_split(passage, max(bar.start, step.start), step.end) or 0)
    for split in sorted(splits):
        if step.chord and split > step.start:
            parts = [
                OfferedChord(step.chord, split - step.start),
                OfferedChord(new, step.end - split, (), after, fixed),
            ]
            yield offer(name, passage, index, index + 1, parts)


def _tritone(passage: Passage, index: int) -> Iterator[Offer]:
    pair = _falling_dominant(passage, index)
    if pair is None or pair[1].chord is None or pair[1].family == "diminished":
        return
    before = passage.previous(index)
    if _stands_on(before, pair[0]):
        return  # a chord on its bass leads to the dominant itself
    flat_two = chord(at(pair[1].chord.root, "b2", pair[0].key), "7")
    yield from _instead(passage, index, "tritone substitution", flat_two, root_need(pair[1]))


def _stands_on(before: Step | None, dominant: Step) -> bool:
    """Whether a chord has the root of the dominant after it for its slash bass."""
    if before is None or before.chord is None or dominant.chord is None:
        return False
    return before.chord.bass is not None and before.chord.bass.pc == dominant.chord.root.pc


def _rootless(passage: Passage, index: int) -> Iterator[Offer]:
    pair = _falling_dominant(passage, index)
    if pair is None or pair[0].chord is None or pair[1].family not in AT_REST:
        return
    third = chord(at(pair[0].chord.root, "3", pair[0].key), "dim7")
    before = passage.previous(index)
    if before and before.chord and before.chord.root.pc == third.root.pc:
        return
    yield from _instead(
        passage, index, "rootless 7♭9 as diminished", third, root_need(pair[1]), fixed=True
    )


def _backdoor(passage: Passage, index: int) -> Iterator[Offer]:
    pair = _falling_dominant(passage, index)
    if pair is None or not is_tonic(pair[1]) or pair[1].family != "major":
        return
    if pair[0].key != pair[1].key:
        return
    flat_seven = chord(at(pair[1].key.tonic, "b7", pair[0].key), "7")
    home = needs([pair[1].key.tonic.pc], ["major"])
    yield from _instead(passage, index, "backdoor ♭VII7", flat_seven, home, halved=False)


def _chain(passage: Passage, index: int) -> Iterator[Offer]:
    """Turn minor chords that fall by fifths to a dominant into dominants, one or more."""
    parts: list[OfferedChord] = []
    place = index
    while (step := free_step(passage, place)) is not None and step.family == "minor":
        goal = passage.following(place + 1)
        if step.chord is None or not falls_fifth(step, goal) or goal is None or is_tonic(step):
            return
        new = needs([step.chord.root.pc], ["dominant"], forbid=True)
        parts.append(OfferedChord(chord(step.chord.root, "7"), step.pulses, new, root_need(goal)))
        place += 1
        if place == len(passage.steps) or is_dominant(passage, place):
            break
    goal = passage.following(place)
    if parts and goal is not None and goal.family == "dominant":
        yield offer("extended dominant chain", passage, index, place, parts)


def _diatonic(passage: Passage, index: int) -> Iterator[Offer]:
    step, goal = free_step(passage, index), passage.following(index + 1)
    if step is None or step.chord is None or goal is None or goal.chord is None:
        return
    yield from _four_to_two(passage, index, step, goal)
    if not is_tonic(step) or step.key.mode != "major" or step.suffix not in ("", "6", "maj7"):
        return
    split = last_part(passage, step)
    if split is None:
        return
    for degree, goals in (("6", (2, 7)), ("3", (5, 9))):
        if goal.degree_in(step.key) not in goals or goal.family == "diminished":
            continue
        if degree == "6" and step.pulses < 4 * passage.grid_pulses:
            continue
        yield offer(
            "diatonic substitution",
            passage,
            index,
            index + 1,
            [
                OfferedChord(step.chord, split - step.start),
                OfferedChord(
                    chord(at(step.chord.root, degree, step.key), "m7"),
                    step.end - split,
                    (),
                    root_need(goal),
                ),
            ],
        )
    before = passage.previous(index)
    inside = before is not None and before.chord is not None and not falls_fifth(before, step)
    if inside and goal.degree_in(step.key) == 2 and goal.family == "minor":
        three = chord(at(step.chord.root, "3", step.key), "m7")
        need = root_need(goal)
        yield offer(
            "diatonic substitution",
            passage,
            index,
            index + 1,
            [OfferedChord(three, step.pulses, needs([before.chord.root.pc]), need)],  # type: ignore[union-attr]
        )


def _four_to_two(passage: Passage, index: int, step: Step, goal: Step) -> Iterator[Offer]:
    """IV, or iv in minor, becomes ii on its way to V."""
    if step.degree != 5 or goal.degree_in(step.key) != 7 or step.family != step.key.mode:
        return
    if goal.family not in ("dominant", "major", "suspended"):
        return
    suffix = "m7" if step.key.mode == "major" else "m7b5"
    two = chord(at(step.key.tonic, "2", step.key), suffix)
    yield from _instead(passage, index, "diatonic substitution", two, root_need(goal))


SUBSTITUTIONS: tuple[SwapRow, ...] = (
    SwapRow(
        "diatonic substitution",
        3,
        group="stand-in",
        when="I on its way to ii, V, IV or vi gives its second half to vi or iii; IV before V",
        effect="C6 Dm7 becomes C6 Am7 Dm7; C6 Am7 becomes C6 Em7 Am7; F G7 becomes Dm7 G7",
        reason="Chords of one function share most of their notes, at times all, as C6 and Am7 do.",
        listen="the bass moving under notes that stay",
        melody="no held note a semitone above a new tone",
        offers=_diatonic,
        preference=0.8,
    ),
    SwapRow(
        "extended dominant chain",
        3,
        group="chain",
        when="minor chords that fall by fifths to a dominant: iii vi ii V",
        effect="in Bb, Gm7 Cm7 F7 becomes G7 C7 F7",
        reason="Each chord becomes the dominant of the next; thirds and sevenths fall by"
        " semitones all the way.",
        listen="one string falling fret by fret: third, seventh, third, seventh",
        melody="not the minor third of the chord that turns dominant",
        offers=_chain,
        preference=0.9,
        set_piece=True,
    ),
    SwapRow(
        "backdoor ♭VII7",
        3,
        group="backdoor",
        when="V7 going home to a major tonic",
        effect="G7 C6 becomes Bb9 C6",
        reason="The flat seventh's dominant is minor iv in disguise, and comes home from below.",
        listen="the flat sixth of the key falling to the fifth while the bass climbs home",
        melody="no held leading tone of the key",
        offers=_backdoor,
        preference=0.55,
        flat_nine=False,
    ),
    SwapRow(
        "tritone substitution",
        3,
        group="tritone",
        when="a dominant that falls a fifth, and only there; no chord on its bass before it",
        effect="Dm7 G7 C6 becomes Dm7 Db7 C6",
        reason="The dominant a tritone away has the same third and seventh in exchange, and its"
        " root falls by a semitone.",
        listen="the bass falling by semitones while the guide tones stay",
        melody="no held fifth or ninth of the dominant: they lie a semitone above the new root and"
        " its fifth",
        offers=_tritone,
        preference=0.8,
        flat_nine=False,
        source="arithmetic: roots six semitones apart exchange third and seventh",
    ),
    SwapRow(
        "rootless 7♭9 as diminished",
        3,
        group="diminished",
        when="a dominant that falls a fifth to a chord at rest",
        effect="E7 Am becomes G#dim7 Am",
        reason="A dominant with a flat nine and no root is a diminished seventh on its third.",
        listen="the bass rising a semitone into the next root",
        melody="no held natural ninth of the dominant",
        offers=_rootless,
        preference=0.7,
        source="arithmetic: 3 5 b7 b9 are four minor thirds",
    ),
)
"""The rows that replace the written chord."""

TAG: tuple[Piece, ...] = (("1", "7"), ("4", "6"), ("#4", "dim7"))
"""What climbs from I to I over its fifth."""


def _tag(passage: Passage, index: int) -> Iterator[Offer]:
    """Fill the last four bars (or two) of a tune that ends on a held tonic."""
    step = free_step(passage, index)
    if step is None or step.chord is None or passage.exits != (None,):
        return
    if not is_tonic(step) or step.key.mode != "major":
        return
    window, end = passage.steps[index:], passage.steps[-1]
    bar = passage.span_at(step.start).pulses
    length = end.end - step.start
    degrees = [each.degree_in(step.key) for each in window if each.freedom != "kept"]
    plain = len(degrees) == len(window) and {*degrees} <= {0, 5, 7}
    if not plain or degrees[-1] != 0 or length not in (2 * bar, 4 * bar):
        return
    if passage.span_at(step.start).start != step.start or end.pulses < length // 4:
        return
    lengths = cut(passage, step.start, end.end, 7, front=True)
    if length == 2 * bar:
        piece = length // 8
        lengths = None if piece % passage.grid_pulses else [piece] * 6 + [2 * piece]
    if lengths is None:
        return
    key, home = step.key, replace(step.chord, bass=None)
    bass = Chord(home.root, home.quality, at(home.root, "5", key))
    five = chord(at(key.tonic, "5", key), "7")
    chords = [home, *(piece_of(key, piece) for piece in TAG), bass, five, home]
    afters = [needs([c.root.pc]) for c in chords[1:]] + [()]
    parts = [
        OfferedChord(new, pulses, (), after, climbs(new))
        for new, pulses, after in zip(chords, lengths, afters, strict=True)
    ]
    yield offer("ending tag", passage, index, len(passage.steps), parts)


ENDING_TAG: tuple[SwapRow, ...] = (
    SwapRow(
        "ending tag",
        2,
        when="the last four bars, or two, of a tune that ends on I and holds nothing but I, IV, V",
        effect="in Eb, Eb Ab Bb7 Eb becomes Eb Eb7 Ab Adim7 Eb/Bb Bb7 Eb",
        reason="The oldest goodbye in swing: up to the fifth in the bass, and home.",
        listen="the bass: fourth, raised fourth, fifth, and home",
        melody="no held note a semitone above a new tone",
        offers=_tag,
        preference=3.0,
        set_piece=True,
    ),
)
"""The tag of the last bars."""
