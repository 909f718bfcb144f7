"""Chord qualities as MusicXML writes them: a kind, and degrees added, altered or left out.

Source: W3C MusicXML 4.0, data type ``kind-value`` and elements ``degree-value``,
``degree-alter`` and ``degree-type``. An added degree is altered from a dominant chord (major and
perfect intervals, but a minor seventh); an altered one from what the kind has.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from porchswing.theory.chords import Quality
from porchswing.theory.notes import Degree, formula
from porchswing.theory.qualities import quality_of

# kind of the schema, its formula
KINDS: dict[str, frozenset[Degree]] = {
    kind: frozenset(formula(degrees))
    for kind, degrees in (
        ("major", "1 3 5"),
        ("minor", "1 b3 5"),
        ("augmented", "1 3 #5"),
        ("diminished", "1 b3 b5"),
        ("dominant", "1 3 5 b7"),
        ("major-seventh", "1 3 5 7"),
        ("minor-seventh", "1 b3 5 b7"),
        ("diminished-seventh", "1 b3 b5 bb7"),
        ("augmented-seventh", "1 3 #5 b7"),
        ("half-diminished", "1 b3 b5 b7"),
        ("major-minor", "1 b3 5 7"),
        ("major-sixth", "1 3 5 6"),
        ("minor-sixth", "1 b3 5 6"),
        ("dominant-ninth", "1 3 5 b7 9"),
        ("major-ninth", "1 3 5 7 9"),
        ("minor-ninth", "1 b3 5 b7 9"),
        ("dominant-11th", "1 3 5 b7 9 11"),
        ("major-11th", "1 3 5 7 9 11"),
        ("minor-11th", "1 b3 5 b7 9 11"),
        ("dominant-13th", "1 3 5 b7 9 11 13"),
        ("major-13th", "1 3 5 7 9 11 13"),
        ("minor-13th", "1 b3 5 b7 9 11 13"),
        ("suspended-second", "1 2 5"),
        ("suspended-fourth", "1 4 5"),
        ("power", "1 5"),
    )
}


@dataclass(frozen=True, slots=True, order=True)
class DegreeStep:
    """One ``<degree>``: what it does (``add``, ``alter``, ``subtract``), to which, by how much."""

    value: int
    alter: int
    deed: str


@cache
def kind_of(quality: Quality) -> tuple[str, tuple[DegreeStep, ...]]:
    """Return the kind nearest to a quality and the steps that make up the difference.

    A seventh is never left to an added degree, for readers disagree about its size.

    >>> from porchswing.theory.symbols import parse_quality
    >>> kind_of(parse_quality("7b9"))
    ('dominant', (DegreeStep(value=9, alter=-1, deed='add'),))
    """
    goal = frozenset(quality.degrees)

    def cost(kind: str) -> tuple[int, int]:
        steps = _steps(KINDS[kind], goal)
        return (len(steps) + 5 * any(s.value == 7 for s in steps), list(KINDS).index(kind))

    kind = min(KINDS, key=cost)
    return kind, _steps(KINDS[kind], goal)


def _steps(start: frozenset[Degree], goal: frozenset[Degree]) -> tuple[DegreeStep, ...]:
    """Return the steps from a kind's degrees to others."""
    gone = {degree.number: degree for degree in start - goal}
    steps: list[DegreeStep] = []
    for degree in sorted(goal - start):
        before = gone.pop(degree.number, None)
        usual = _dominant(degree.number) if before is None else before.alter
        deed = "add" if before is None else "alter"
        steps.append(DegreeStep(degree.number, degree.alter - usual, deed))
    steps.extend(DegreeStep(number, 0, "subtract") for number in gone)
    return tuple(sorted(steps))


def _dominant(number: int) -> int:
    """Return the alteration a degree has in a dominant chord."""
    return -1 if number == 7 else 0


def quality_from(kind: str, steps: tuple[DegreeStep, ...]) -> Quality:
    """Return the quality that a kind and its steps stand for.

    Raises
    ------
    ValueError
        Where the kind is none of :data:`KINDS`, or no chord symbol can say the result.

    >>> quality_from("dominant", (DegreeStep(9, -1, "add"),)).suffix
    '7b9'
    """
    if kind not in KINDS:
        raise ValueError(f"the kind {kind!r} has no chord symbol")
    degrees = set(KINDS[kind])
    for step in steps:
        same = {degree for degree in degrees if degree.number == step.value}
        if step.deed == "subtract":
            degrees -= same
        elif step.deed == "alter" and same:
            degrees -= same
            degrees |= {Degree(step.value, degree.alter + step.alter) for degree in same}
        elif step.deed in ("add", "alter"):
            degrees.add(Degree(step.value, step.alter + _dominant(step.value)))
        else:
            raise ValueError(f"a degree is added, altered or subtracted, got {step.deed!r}")
    return quality_of(frozenset(degrees))
