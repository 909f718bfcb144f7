"""A practice plan in words and minutes: short, with rests, and the usual caution.

The order (warm up, hardest spot first, whole tune last) and the minutes are common practice, no
source; so is a rest after every few minutes of pressing strings. Slow practice is near
universal among musicians, no published step size for tempo ladders was found, and one study
found alternating slow and target tempo better than a gradual climb, so the plan goes back and
forth between both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from porchswing.lesson.drill_kinds import Drill
from porchswing.pages.practice.task import Task

CARE = (
    "Keep shoulders, jaw and thumb loose, and press no harder than the note needs. Stop at once "
    "if anything hurts, tingles or goes numb, and rest; if it comes back, ask a licensed doctor "
    "or physiotherapist. Start the volume low, above all on headphones: a file cannot know how "
    "loud your device plays it. Follow your school's own rules where it has any."
)
"""The caution that goes with every plan."""

MINUTES = {"review": 2, "strum": 2, "changes": 3, "line": 3, "ladder": 4, "answer": 3, "fade": 4}
"""Minutes given to each kind of drill."""

REST_AFTER_MINUTES = 5
"""Minutes of playing after which the plan rests."""

MOST_CHANGES = 2
"""Hard changes one session takes on; the others wait for another day."""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One step: ``minutes``, what to do in ``words``, and the ``track`` to play (or none).

    ``task`` is the same on the practice page, where the page can do it.
    """

    minutes: int
    words: str
    track: str = ""
    task: Task | None = None


def practice_plan(drills: Sequence[Drill]) -> tuple[PlanStep, ...]:
    """Return the steps of one session with these drills, rests included.

    ``track`` is the drill's stem. A plan has at most two of the hard changes, and either the
    answers or the fading chords; its last step names what waits for another day.
    """
    steps = [PlanStep(1, "Tune up. Shake out both hands; drop the shoulders.")]
    played = 0
    session, waiting = _session(drills)
    for drill in session:
        minutes = MINUTES[drill.kind]
        if played and played + minutes > REST_AFTER_MINUTES:
            steps.append(PlanStep(1, "Rest: put the instrument down, open and close the hands."))
            played = 0
        steps.append(PlanStep(minutes, f"{drill.title}. {drill.words}", drill.stem, drill.task))
        played += minutes
    steps.append(
        PlanStep(
            2, "Play the tune once for pleasure, mistakes and all; then put it away.", task=Task()
        )
    )
    if waiting:
        steps.append(PlanStep(0, f"Another day: {'; '.join(drill.title for drill in waiting)}."))
    return tuple(steps)


def _session(drills: Sequence[Drill]) -> tuple[list[Drill], list[Drill]]:
    """Return the drills of one session, and those that wait for another."""
    by_kind = {kind: [drill for drill in drills if drill.kind == kind] for kind in MINUTES}
    waiting = by_kind["changes"][MOST_CHANGES:] + by_kind["ladder"][1:]
    waiting += by_kind["fade"] if by_kind["answer"] else []
    return [drill for drill in drills if drill not in waiting], waiting


def plan_minutes(steps: Sequence[PlanStep]) -> int:
    """Return how many minutes a plan takes."""
    return sum(step.minutes for step in steps)


def plan_text(title: str, steps: Sequence[PlanStep]) -> str:
    """Return a plan as plain text for a file or the terminal."""
    rows = [f"Practice plan: {title}", f"{plan_minutes(steps)} minutes with rests", ""]
    for step in steps:
        track = f"  [{step.track}]" if step.track else ""
        minutes = f"{step.minutes:>2} min" if step.minutes else "      "
        rows.append(f"{minutes}  {step.words}{track}")
    return "\n".join([*rows, "", CARE, ""])
