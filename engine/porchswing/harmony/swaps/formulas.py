"""Formulas: families of chords that fill a whole span of function, written as rows of text.

A :class:`Formula` gives what the written chords must be and what is played instead, in any meter:

- ``over`` and ``into`` list written chords as ``degree:kind``. Degrees count from the tonic of
  the local key (``b3``, ``#4``, ``*`` for any); kinds are ``M`` major, ``m`` minor, ``d`` dominant
  seventh, ``D`` whatever acts as a dominant, ``h`` half-diminished, ``2`` minor or
  half-diminished, ``o`` diminished, ``x`` any but that. ``|`` parts alternatives.
- ``play`` lists the new chords as ``degree:suffix``, with ``/3`` for a bass on that degree of
  the key; ``=0`` keeps the first written chord of the span, ``=1`` the second. ``>b2:7`` counts
  from the root of the chord that follows the span, ``0>b2:7`` from the first written one; the
  suffix ``~`` is the quality of the chord that is counted from. A chord whose suffix ends in
  ``!`` keeps its colour.

The time of the span is cut on bars first, then on the strong places inside bars
(:func:`~porchswing.harmony.passage.cutting.cut`). Common practice, no single source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from porchswing.harmony.passage.cutting import cut, cut_each_bar
from porchswing.harmony.passage.functions import is_dominant, root_need
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
)
from porchswing.harmony.swaps.swap_row import COMMON_PRACTICE, SwapRow
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import Degree

_FAMILIES = {
    "M": ("major",),
    "m": ("minor",),
    "d": ("dominant",),
    "D": ("dominant", "major", "suspended"),
    "h": ("half-diminished",),
    "2": ("minor", "half-diminished"),
    "o": ("diminished",),
    "x": ("major", "minor", "dominant", "half-diminished", "suspended", "augmented"),
}
_STEADY = ("dim7", "aug", "maj7", "mMaj7", "9sus4", "7sus4", "mb6")
"""Suffixes that keep their colour unless a row says otherwise."""
_NEW_TONE = "no held note a semitone above a new tone"


class Formula(NamedTuple):
    """One way to fill a span.

    ``bars`` are the least and the most bars the span may last; ``inside`` keeps it away from
    the first bar of a section; ``after`` is what must come before the span, ``away`` what must
    not; ``front`` cuts the first bars into halves rather than the last; ``ends`` needs the end
    of the tune after it; ``per_bar`` says how many chords each bar takes, where that is not the
    usual cut; ``asked`` keeps it for a place that somebody asks about; ``tied`` chords each need
    the one before them, so that no swap comes between.
    """

    over: str
    into: str
    play: str
    mode: str = "major"
    bars: tuple[float, float] = (0.5, 64.0)
    inside: bool = False
    after: str = ""
    away: str = ""
    front: bool = False
    ends: bool = False
    per_bar: tuple[int, ...] = ()
    asked: bool = False
    tied: bool = False


class _Kind(NamedTuple):
    degree: int
    letter: str


class _Piece(NamedTuple):
    kept: int
    degree: str
    suffix: str
    bass: str
    steady: bool
    goal: int | None = None


ANY, FOLLOWING = -1, -1
"""The degree that any chord has, and the place of the chord that follows a span."""
LIKE = "~"


def formula_offers(
    name: str, spans: Sequence[Formula]
) -> Callable[[Passage, int], Iterator[Offer]]:
    """Return the function that offers a formula wherever one of its spans is found."""
    by_start: dict[tuple[str, int], list[Formula]] = {}
    for span in spans:
        for mode in (span.mode,) if span.mode else ("major", "minor"):
            by_start.setdefault((mode, _kinds(span.over)[0][0].degree), []).append(span)

    def offers(passage: Passage, index: int) -> Iterator[Offer]:
        step = passage.steps[index]
        mode = step.key.mode
        for span in (*by_start.get((mode, step.degree), ()), *by_start.get((mode, ANY), ())):
            stop = index + len(_kinds(span.over))
            if _found(passage, index, stop, span):
                yield from _filled(name, passage, index, stop, span)

    return offers


def span_row(
    name: str,
    depth: int,
    preference: float,
    *spans: Formula,
    group: str = "",
    when: str,
    effect: str,
    reason: str,
    listen: str,
    flat_nine: bool = True,
    repeat_penalised: bool = False,
    rare: bool = False,
    asked: bool = False,
    source: str = COMMON_PRACTICE,
) -> SwapRow:
    """Return the row of a swap that fills spans by formulas."""
    return SwapRow(
        name,
        depth,
        when,
        effect,
        reason,
        listen,
        _NEW_TONE,
        formula_offers(name, spans),
        preference,
        group=group,
        flat_nine=flat_nine,
        repeat_penalised=repeat_penalised,
        rare=rare,
        asked=asked,
        most=max(len(_kinds(span.over)) for span in spans),
        source=source,
        set_piece=True,
    )


def _found(passage: Passage, index: int, stop: int, span: Formula) -> bool:
    """Whether a span's written chords, and what is around them, are found at a place."""
    window, first = passage.steps[index:stop], passage.steps[index]
    kinds = _kinds(span.over)
    if len(window) < len(kinds) or (span.ends and passage.exits != (None,)):
        return False
    if span.asked and not passage.asked:
        return False
    for place, (step, alike) in enumerate(zip(window, kinds, strict=True)):
        free = step.freedom == "free" and step.chord and not step.fixed_colour
        if not free or step.key != first.key or not _is(passage, index + place, alike):
            return False
    bar = passage.span_at(first.start)
    length = window[-1].end - first.start
    if not span.bars[0] * bar.pulses <= length <= span.bars[1] * bar.pulses:
        return False
    if span.inside and bar.bar_index == 0 and not passage.asked:
        return False
    if span.after and not _neighbour(passage.previous(index), first.key, _kinds(span.after)[0]):
        return False
    if span.away and _neighbour(passage.previous(index), first.key, _kinds(span.away)[0]):
        return False
    if span.ends:
        return stop == len(passage.steps)
    return not span.into or _neighbour(passage.following(stop), first.key, _kinds(span.into)[0])


def _is(passage: Passage, index: int, alike: tuple[_Kind, ...]) -> bool:
    """Whether a written chord is one of some kinds."""
    step = passage.steps[index]
    for kind in alike:
        if kind.degree in (ANY, step.degree) and step.family in _FAMILIES[kind.letter]:
            return kind.letter != "D" or is_dominant(passage, index)
    return False


def _neighbour(step: Step | None, key: Key, alike: tuple[_Kind, ...]) -> bool:
    """Whether the chord beside a span is one of some kinds, counted in the span's key."""
    if step is None or step.chord is None:
        return False
    degree = (step.chord.root.pc - key.tonic.pc) % 12
    return any(k.degree in (ANY, degree) and step.family in _FAMILIES[k.letter] for k in alike)


def _filled(name: str, passage: Passage, index: int, stop: int, span: Formula) -> Iterator[Offer]:
    """Yield the span filled with the formula's chords, in each way its time may be cut."""
    window, pieces, goal = passage.steps[index:stop], _pieces(span.play), passage.following(stop)
    chords = [_chord(window, goal, piece) for piece in pieces]
    counted = any(piece.goal is not None for piece in pieces)
    if counted and (_idle(chords, goal) or _as_written(pieces[0], chords, window[0])):
        return
    if len(chords) == len(window) and all(
        new.root.pc == old.chord.root.pc and new.quality.family == old.family and not new.bass
        for new, old in zip(chords, window, strict=True)
        if old.chord
    ):
        return  # nothing but colours would change
    if any(
        new.bass and piece.kept >= 0 and not piece.bass
        for new, piece in zip(chords, pieces, strict=True)
    ):
        return  # a written slash bass is a line of its own
    afters = _afters(chords, window[0].key, span, goal)
    befores = [_need(span.after, window[0].key) + _need(span.away, window[0].key, forbid=True)]
    befores += [needs([each.root.pc]) if span.tied else () for each in chords[:-1]]
    for lengths in _cuts(passage, window, len(pieces), span):
        parts = [
            OfferedChord(
                new,
                pulses,
                before,
                after,
                piece.steady or bool(piece.bass) or piece.suffix in (*_STEADY, LIKE),
                piece.suffix == LIKE,
            )
            for new, pulses, before, after, piece in zip(
                chords, lengths, befores, afters, pieces, strict=True
            )
        ]
        yield offer(name, passage, index, stop, parts)


def _as_written(piece: _Piece, chords: Sequence[Chord], old: Step) -> bool:
    """Whether the first of several chords is the written one, which another formula keeps."""
    new = chords[0]
    same = old.chord is not None and new.root.pc == old.chord.root.pc
    return piece.kept < 0 and len(chords) > 1 and same and new.quality.family == old.family


def _idle(chords: Sequence[Chord], goal: Step | None) -> bool:
    """Whether one of some chords leads to a chord that has come already."""
    bare = [(each.root.pc, each.quality.family) for each in chords]
    bare += [(goal.chord.root.pc, goal.family)] if goal and goal.chord else []
    return any(left == right for left, right in pairwise(bare))


def _chord(window: Sequence[Step], goal: Step | None, piece: _Piece) -> Chord:
    """Return the chord of a piece in the key of the span."""
    key = window[0].key
    if piece.goal is not None:
        towards = (goal if piece.goal == FOLLOWING else window[piece.goal]) or window[0]
        if towards.chord is None:
            raise AssertionError("nothing leads to silence")
        suffix = towards.suffix if piece.suffix == LIKE else piece.suffix
        return chord(at(towards.chord.root, piece.degree, key), suffix)
    bass = at(key.tonic, piece.bass, key) if piece.bass else None
    if piece.kept < 0:
        return chord(at(key.tonic, piece.degree, key), piece.suffix, bass)
    kept = window[piece.kept].chord
    if kept is None:
        raise AssertionError("a span holds no silence")
    if not bass:
        return kept
    return Chord(kept.root, kept.quality, bass if bass != kept.root else None)


def _afters(
    chords: Sequence[Chord], key: Key, span: Formula, goal: Step | None
) -> list[tuple[Need, ...]]:
    """Return what each chord needs after it: the next root or, for a dominant, its partner.

    What is held over V, a sus or a chord on its bass, needs V itself or the diminished chord on
    its third: another dominant would leave it hanging.
    """
    found = []
    for new, after in pairwise(chords):
        root, dominant = after.root.pc, after.quality.family == "dominant"
        hangs = new.quality.family == "suspended" or new.bass is not None
        if dominant and hangs and new.bass_note.pc == root:
            found.append(needs([root, root + 4]))
            continue
        partner = dominant and new.quality.family != "diminished"
        roots = [root, root + 6] if partner else [root]
        found.append(needs(roots) if new.root.pc != root else ())
    return [*found, _need(span.into, key, goal)]


def _need(text: str, key: Key, goal: Step | None = None, **how: bool) -> tuple[Need, ...]:
    """Return the need for one of some neighbours; those without a third may be any family.

    Where any root will do, it is that of ``goal``.
    """
    if not text:
        return ()
    alike = _kinds(text)[0]
    if goal is not None and any(kind.degree == ANY for kind in alike):
        return root_need(goal)
    families = {name for kind in alike for name in _FAMILIES[kind.letter]}
    loose = any(kind.letter == "x" for kind in alike)
    roots = [key.tonic.pc + kind.degree for kind in alike]
    return needs(roots, () if loose else families, **how)


def _cuts(
    passage: Passage, window: Sequence[Step], count: int, span: Formula
) -> Iterator[list[int]]:
    """Yield the lengths of so many chords in the time of a span."""
    if count == len(window):
        yield [step.pulses for step in window]
        return
    start, end = window[0].start, window[-1].end
    if span.per_bar:
        found = cut_each_bar(passage, start, end, span.per_bar)
        yield from [found] if found else []
        return
    late = span.play.startswith("=0 ") and not (span.front and span.ends)
    seen = []
    for found in (
        cut(passage, start, end, count, front=span.front),
        _late(passage, start, end, count) if late else None,
    ):
        if found is not None and found not in seen:
            seen.append(found)
            yield found


def _late(passage: Passage, start: int, end: int, count: int) -> list[int] | None:
    """Return the cut in which the first chord is held and the others share the last bars."""
    last = passage.span_at(end - 1)
    tail = last.start - (count // 2 - 1) * last.pulses
    if tail <= start or end != last.start + last.pulses:
        return None
    rest = cut(passage, tail, end, count - 1)
    return None if rest is None else [tail - start, *rest]


@cache
def _kinds(text: str) -> tuple[tuple[_Kind, ...], ...]:
    """Read ``over``, ``into`` or ``after``: for each chord the kinds it may be."""
    return tuple(
        tuple(
            _Kind(ANY if degree == "*" else Degree.parse(degree).semitones % 12, letter)
            for degree, _, letter in (one.partition(":") for one in word.split("|"))
        )
        for word in text.split()
    )


@cache
def _pieces(text: str) -> tuple[_Piece, ...]:
    """Read ``play``."""
    found = []
    for word in text.split():
        steady = word.endswith("!")
        head, _, bass = word.removesuffix("!").partition("/")
        if bass == "9":
            head, bass = f"{head}/9", ""
        if head.startswith("="):
            found.append(_Piece(int(head[1:]), "", "", bass, steady))
        else:
            place, towards, head = head.rpartition(">")
            goal = (int(place) if place else FOLLOWING) if towards else None
            degree, _, suffix = head.partition(":")
            found.append(_Piece(-1, degree, suffix, bass, steady, goal))
    return tuple(found)
