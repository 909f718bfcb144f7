"""Where a colour belongs: one question a colour, asked of a chord and its neighbours.

Common practice, no single source.
"""

from __future__ import annotations

from porchswing.harmony.passage.functions import (
    falls_fifth,
    falls_semitone,
    is_dominant_triad,
    is_related_ii,
    is_tonic,
)
from porchswing.harmony.passage.steps import Passage, Step


def _major_at_rest(passage: Passage, index: int) -> bool:
    step = passage.steps[index]
    return step.family == "major" and not is_dominant_triad(passage, index)


def sixth(passage: Passage, index: int) -> bool:
    """Whether a major triad is at rest and may take its sixth."""
    return passage.steps[index].suffix == "" and _major_at_rest(passage, index)


def six_nine(passage: Passage, index: int) -> bool:
    """Whether a chord at rest is I or IV in major."""
    step = passage.steps[index]
    home = step.degree in (0, 5) and step.key.mode == "major"
    return step.suffix in ("", "6") and _major_at_rest(passage, index) and home


def major_seventh(passage: Passage, index: int) -> bool:
    """Whether a triad at rest is one the key gives a major seventh."""
    step = passage.steps[index]
    home = step.degree in (0, 5) if step.key.mode == "major" else step.degree in (3, 8)
    return step.suffix == "" and _major_at_rest(passage, index) and home


def minor_sixth(passage: Passage, index: int) -> bool:
    """Whether a minor triad is i or iv and does not go to its V."""
    step = passage.steps[index]
    home = is_tonic(step) or step.degree == 5
    return step.suffix == "m" and home and not is_related_ii(passage, index)


def minor_six_nine(passage: Passage, index: int) -> bool:
    """Whether a minor chord is i and does not go on as a ii."""
    step = passage.steps[index]
    return step.suffix in ("m", "m6") and is_tonic(step) and not is_related_ii(passage, index)


def minor_seventh(passage: Passage, index: int) -> bool:
    """Whether a minor triad is no tonic, or goes on as a ii."""
    step = passage.steps[index]
    if step.suffix != "m":
        return False
    return is_related_ii(passage, index) or not (is_tonic(step) or step.degree == 5)


def minor_ninth(passage: Passage, index: int) -> bool:
    """Whether a ii of the key goes to its V."""
    step = passage.steps[index]
    at_home = step.degree == 2 if step.key.mode == "major" else step.degree == 5
    return step.suffix in ("m", "m7") and is_related_ii(passage, index) and at_home


def seventh(passage: Passage, index: int) -> bool:
    """Whether a major triad works as a dominant."""
    return is_dominant_triad(passage, index)


def _into_minor(passage: Passage, index: int) -> bool:
    step, goal = passage.steps[index], _goal(passage, index)
    return falls_fifth(step, goal) and goal is not None and goal.family == "minor"


def _goal(passage: Passage, index: int) -> Step | None:
    """Return where a chord leads: past its own diminished chord, a major third above it."""
    step, after = passage.steps[index], passage.following(index + 1)
    if after is None or after.chord is None or step.chord is None or after.suffix != "dim7":
        return after
    own = (after.chord.root.pc - step.chord.root.pc) % 12 == 4
    return passage.following(index + 2) if own else after


def _plain_dominant(passage: Passage, index: int) -> bool:
    return passage.steps[index].suffix == "7" or is_dominant_triad(passage, index)


def ninth(passage: Passage, index: int) -> bool:
    """Whether the natural ninth belongs: into minor only where it is in the key's scale."""
    step = passage.steps[index]
    if not _plain_dominant(passage, index) or step.chord is None:
        return False
    if step.key.mode == "minor" and (step.degree == 7 or _into_minor(passage, index)):
        return False
    scale = {note.pc for note in step.key.scale}
    in_key = (step.chord.root.pc + 2) % 12 in scale
    if _rises_semitone(step, passage.following(index + 1)) and not in_key:
        return False  # a semitone above the root ahead
    if not _into_minor(passage, index):
        return True
    before = passage.previous(index)
    if before is not None and before.family == "half-diminished" and falls_fifth(before, step):
        return False  # its flat fifth is the dominant's flat ninth
    return in_key


def _rises_semitone(step: Step, goal: Step | None) -> bool:
    """Whether a dominant climbs a semitone to a chord at rest, as E7 to F."""
    if step.chord is None or goal is None or goal.chord is None or goal.family == "dominant":
        return False
    return (goal.chord.root.pc - step.chord.root.pc) % 12 == 1 and goal.family != "diminished"


def thirteenth(passage: Passage, index: int) -> bool:
    """Whether a dominant goes to a major chord, or is the I7 of a blues."""
    step, goal = passage.steps[index], passage.following(index + 1)
    to_major = falls_fifth(step, goal) and goal is not None and goal.family == "major"
    blues = step.family == "dominant" and step.degree == 0 and step.key.mode == "major"
    return _plain_dominant(passage, index) and (to_major or blues)


def thirteenth_in_chain(passage: Passage, index: int) -> bool:
    """Whether a dominant goes on to a dominant a fifth or a semitone below."""
    step, goal = passage.steps[index], passage.following(index + 1)
    on = falls_fifth(step, goal) or falls_semitone(step, goal)
    return _plain_dominant(passage, index) and on and goal is not None and goal.family == "dominant"


def flat_ninth(passage: Passage, index: int) -> bool:
    """Whether a dominant goes to a minor chord, or is V in minor."""
    step = passage.steps[index]
    home = step.degree == 7 and step.key.mode == "minor"
    return _plain_dominant(passage, index) and (home or _into_minor(passage, index))


def flat_ninth_into_major(passage: Passage, index: int) -> bool:
    """Whether a dominant falls a fifth to a major chord."""
    step, goal = passage.steps[index], passage.following(index + 1)
    to_major = falls_fifth(step, goal) and goal is not None and goal.family == "major"
    return to_major and _plain_dominant(passage, index)


def augmented(passage: Passage, index: int) -> bool:
    """Whether a dominant falls a fifth to I or IV in major."""
    return _raises_fifth(passage, index, "major", (0, 5))


def augmented_into_minor(passage: Passage, index: int) -> bool:
    """Whether a dominant falls a fifth to i, ii, iv or vi."""
    return _raises_fifth(passage, index, "minor", (0, 2, 5, 9))


def _raises_fifth(passage: Passage, index: int, family: str, degrees: tuple[int, ...]) -> bool:
    """Whether a dominant, or an augmented triad, falls a fifth to such a chord."""
    step, goal = passage.steps[index], passage.following(index + 1)
    if goal is None or not falls_fifth(step, goal) or goal.family != family:
        return False
    return (_plain_dominant(passage, index) and goal.degree in degrees) or step.suffix == "aug"


def diminished_seventh(passage: Passage, index: int) -> bool:
    """Whether a chord is a diminished triad."""
    return passage.steps[index].suffix == "dim"
