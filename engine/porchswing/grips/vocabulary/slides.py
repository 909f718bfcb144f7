"""Playing marks in words, and where a tune's own grips invite a slide.

Common practice, no source: a slide is heard where one shape moves by a fret or two and arrives on
a strong beat; too many of them are a mannerism.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from porchswing.chart.model import Meter
from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing, moved_along, slide_between

MARK_WORDS = {
    "slide": "slide in",
    "push": "an eighth early",
    "hold": "let it ring",
    "roll": "roll",
    "chuck": "chuck",
    "stop": "stop short",
    "fall": "fall off",
}
"""Every playing mark as a sheet says it."""


@dataclass(frozen=True, slots=True)
class SlideIdea:
    """A place where a chord may slide in: its frets, those it comes from, and why.

    ``mark`` is what the chart would say, empty where the hand comes from above: the mark
    ``slide`` comes in from below.
    """

    section: str
    bar: int
    beat: Fraction
    chord: str
    frets: str
    origin: str
    mark: str
    reason: str

    def __str__(self) -> str:
        """Return the idea in one line."""
        beat = "" if self.beat == 1 else f" beat {float(self.beat):g}"
        words = f"{self.section} bar {self.bar}{beat}: {self.chord} {self.frets}"
        return f"{words}, slide from {self.origin}. {self.reason}"


def mark_words(marks: Sequence[str], grip: Grip | None) -> str:
    """Return playing marks in words, a slide with the grip it comes from; empty without any."""
    origin = moved_along(grip, -1) if grip and "slide" in marks else None
    slide = f"slide in from {origin}" if origin else MARK_WORDS["slide"]
    return ", ".join(slide if mark == "slide" else MARK_WORDS[mark] for mark in marks)


def marks_said(slot: VoicedSlot) -> str:
    """Return the playing marks of a chord in words behind its name; empty without any."""
    words = mark_words(slot.marks, slot.grip)
    return f"{slot.chord}: {words}" if words else ""


def slide_ideas(voicing: Voicing, meter: Meter, share: float) -> tuple[SlideIdea, ...]:
    """Return where chords may slide in, at most a ``share`` of each section's chords (0 to 1).

    A shift of one fret comes before one of two, the first beat before the middle of the bar.
    """
    found: list[SlideIdea] = []
    for name in voicing.sections:
        slots = [s for s in voicing.slots if s.section == name and s.grip and s.pass_number <= 1]
        ideas = [idea for pair in pairwise(slots) if (idea := _idea(*pair, meter))]
        best = sorted(ideas, key=lambda ranked: ranked[0])[: int(share * len(slots))]
        found += sorted((idea for _, idea in best), key=lambda idea: (idea.bar, idea.beat))
    return tuple(found)


def _idea(
    before: VoicedSlot, after: VoicedSlot, meter: Meter
) -> tuple[tuple[int, int, int], SlideIdea] | None:
    """Return the idea of one change with its rank, ``None`` where nothing slides."""
    if before.grip is None or after.grip is None or after.marks:
        return None
    middle = 1 + Fraction(meter.count, 2)
    if after.beat not in (1, middle) or before.fingers != after.fingers:
        return None
    shift = slide_between(before.grip, after.grip)
    if not shift:
        return None
    way = "up" if shift > 0 else "down"
    frets = "a fret" if abs(shift) == 1 else "two frets"
    beat = "the first beat" if after.beat == 1 else "the middle of the bar"
    idea = SlideIdea(
        after.section,
        after.bar,
        after.beat,
        str(after.chord),
        str(after.grip),
        str(before.grip),
        "slide" if shift > 0 else "",
        f"The same shape goes {way} {frets} and arrives on {beat}.",
    )
    return (abs(shift), int(after.beat != 1), after.bar), idea
