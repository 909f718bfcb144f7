"""What chords do, for the rows: small questions about a step and its neighbours.

Roots are compared as pitch classes, functions in the local key. Common practice, no single
source.
"""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.harmony.passage.steps import (
    Need,
    Offer,
    OfferedChord,
    Passage,
    Step,
    needs,
    offer,
    strong_split,
)
from porchswing.theory.chords import Chord

AT_REST = frozenset({"major", "minor"})
"""Families of chords that may be at rest."""
TRIAD = ("", "5")


def falls_fifth(step: Step, goal: Step | None) -> bool:
    """Whether the next root lies a fifth below."""
    if step.chord is None or goal is None or goal.chord is None:
        return False
    return (step.chord.root.pc - goal.chord.root.pc) % 12 == 7


def falls_semitone(step: Step, goal: Step | None) -> bool:
    """Whether the next root lies a semitone below, as after a tritone substitute."""
    if step.chord is None or goal is None or goal.chord is None:
        return False
    return (step.chord.root.pc - goal.chord.root.pc) % 12 == 1


def is_tonic(step: Step) -> bool:
    """Whether the chord is the tonic triad of the local key, or a colour of it."""
    return step.degree == 0 and step.family == step.key.mode


def is_dominant_triad(passage: Passage, index: int) -> bool:
    """Whether a major triad works as a dominant: V, or a fifth above what follows, not I or IV."""
    step = passage.steps[index]
    if step.suffix not in TRIAD or step.family not in ("major", "power"):
        return False
    if step.degree == 7:
        return True
    goal = passage.following(index + 1)
    outside = step.degree not in (0, 5) if step.key.mode == "major" else step.degree in (2, 9, 11)
    return outside and falls_fifth(step, goal)


def is_related_ii(passage: Passage, index: int) -> bool:
    """Whether a minor chord goes down a fifth to a dominant."""
    goal = passage.following(index + 1)
    step = passage.steps[index]
    return (
        falls_fifth(step, goal)
        and goal is not None
        and (goal.family == "dominant" or goal.degree == 7)
    )


def is_dominant(passage: Passage, index: int) -> bool:
    """Whether a chord works as a dominant, its seventh written or not."""
    step = passage.steps[index]
    return step.family == "dominant" or is_dominant_triad(passage, index)


def root_need(goal: Step, *, soft: bool = False) -> tuple[Need, ...]:
    """Return the need for a neighbour on the root of a step."""
    return needs([goal.chord.root.pc], soft=soft) if goal.chord else ()


def last_part(passage: Passage, step: Step) -> int | None:
    """Return the pulse where the second half of a chord's last bar starts, within the chord.

    A chord of half a bar or less is halved; ``None`` where it has but one felt beat.
    """
    span = passage.span_at(step.end - passage.grid_pulses)
    split = strong_split(passage, max(span.start, step.start), step.end)
    return split if split is not None and split > step.start else None


def free_step(passage: Passage, index: int) -> Step | None:
    """Return a step that may be changed, ``None`` where it may not."""
    step = passage.steps[index]
    return step if step.freedom == "free" and step.chord and not step.fixed_colour else None


def then(
    passage: Passage,
    index: int,
    name: str,
    extra: Chord,
    first: Chord | None = None,
    *,
    fixed: bool = False,
    whole_bar: bool = False,
    goal: Step | None = None,
) -> Iterator[Offer]:
    """Offer the written chord and then another one into the chord that follows.

    The other takes the second half of the last bar; with ``whole_bar`` also all of it, where
    the written chord has had a bar before. ``goal`` is where it most likely leads over the edge
    of a stretch.
    """
    step, soft = passage.steps[index], goal is not None
    goal = goal or passage.following(index + 1)
    split = last_part(passage, step)
    if split is None or goal is None or step.chord is None:
        return
    bar = passage.span_at(step.end - passage.grid_pulses)
    splits = [split]
    if whole_bar and step.start <= bar.start - bar.pulses and step.end == bar.start + bar.pulses:
        splits.insert(0, bar.start)
    for pulse in splits:
        before = needs([step.chord.root.pc])
        parts = [
            OfferedChord(first or step.chord, pulse - step.start),
            OfferedChord(extra, step.end - pulse, before, root_need(goal, soft=soft), fixed),
        ]
        yield offer(name, passage, index, index + 1, parts)
