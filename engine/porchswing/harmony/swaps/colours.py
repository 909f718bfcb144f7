"""Colour swaps: the root, the length and the function stay, the quality grows richer.

Sixths rather than major sevenths are home in swing; dominants take ninths and thirteenths,
and the flat ninth into a minor chord; no row ever puts a natural eleventh against a major
third. Common practice, no single source; that a ninth or a thirteenth may drop root and fifth
while the guide tones stay is in the University of Puget Sound's open "Music Theory for the
21st-Century Classroom" (R. Hutchinson), section 31.7, quoted from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from porchswing.harmony.passage.functions import falls_fifth, is_dominant_triad, is_related_ii
from porchswing.harmony.passage.melody_guard import watched
from porchswing.harmony.passage.steps import Offer, OfferedChord, Passage, chord, offer
from porchswing.harmony.passage.tensions import ASKS
from porchswing.harmony.swaps import colour_places as where
from porchswing.harmony.swaps.swap_row import SwapRow

_Test = Callable[[Passage, int], bool]


def _asked_for(passage: Passage, index: int) -> Iterator[Offer]:
    """Offer the colours the held notes of the tune ask for."""
    step = passage.steps[index]
    if step.chord is None or step.freedom == "kept" or step.fixed_colour or not passage.melody:
        return
    as_dominant = is_dominant_triad(passage, index)
    asks = ASKS.get("dominant" if as_dominant else step.family, {})
    own = {degree.semitones % 12 for degree in step.chord.quality.degrees}
    for pitch in dict.fromkeys(watched(passage, step)):
        rise = (pitch - step.chord.root.pc) % 12
        goal = passage.following(index + 1)
        if rise in own or rise not in asks or (rise == 1 and not falls_fifth(step, goal)):
            continue
        if asks[rise] == "m9" and not is_related_ii(passage, index):
            continue
        new = chord(step.chord.root, asks[rise], step.chord.bass)
        yield offer(
            "colour of the tune", passage, index, index + 1, [OfferedChord(new, step.pulses)]
        )


def _colour(name: str, suffix: str, test: _Test) -> Callable[[Passage, int], Iterator[Offer]]:
    """Return the function that puts a suffix on a chord where a test allows it."""

    def offers(passage: Passage, index: int) -> Iterator[Offer]:
        step = passage.steps[index]
        if step.chord is None or step.freedom == "kept" or step.fixed_colour:
            return
        slash = step.chord.bass is not None and step.chord.bass.pc != step.chord.root.pc
        if slash and suffix != "7":
            return  # the bass is a line: the chord over it stays plain
        if test(passage, index):
            new = chord(step.chord.root, suffix, step.chord.bass)
            yield offer(name, passage, index, index + 1, [OfferedChord(new, step.pulses)])

    return offers


def _row(
    name: str,
    suffix: str,
    test: _Test,
    preference: float,
    depth: int = 1,
    *,
    when: str,
    effect: str,
    reason: str,
    listen: str,
    melody: str,
) -> SwapRow:
    offers = _colour(name, suffix, test)
    return SwapRow(
        name,
        depth,
        when,
        effect,
        reason,
        listen,
        melody,
        offers,
        preference,
        colour=True,
        suffix=suffix,
    )


COLOURS: tuple[SwapRow, ...] = (
    _row(
        "tonic sixth",
        "6",
        where.sixth,
        1.0,
        when="a major triad at rest: I, IV, or any that does not act as a dominant",
        effect="C becomes C6",
        reason="The sixth is the swing player's sound of home: rich, and it clashes with no melody"
        " on the root.",
        listen="the sixth, a third below the root, where the triad doubled a note",
        melody="not the note a semitone above the sixth",
    ),
    _row(
        "six-nine",
        "6/9",
        where.six_nine,
        0.75,
        when="I or IV in major, at rest",
        effect="C becomes C6/9",
        reason="Sixth and ninth together open the tonic chord without pulling anywhere.",
        listen="fourths instead of thirds: third, sixth and ninth stand a fourth apart",
        melody="not the note a semitone above the sixth or the ninth",
    ),
    _row(
        "tonic major seventh",
        "maj7",
        where.major_seventh,
        0.45,
        when="I or IV in major (III or VI in minor), at rest",
        effect="C becomes Cmaj7",
        reason="The note under the root stays in the chord: smoother, later in style than a sixth.",
        listen="the major seventh, a semitone below the root, staying where it is",
        melody="not the root: it lies a semitone above the major seventh",
    ),
    _row(
        "minor sixth",
        "m6",
        where.minor_sixth,
        1.0,
        when="i in minor, or iv in either mode, at rest",
        effect="Cm becomes Cm6",
        reason="The sixth makes a minor chord of rest, and shares its tritone with the dominant"
        " a fourth above.",
        listen="the minor third against the sixth: a tritone that stays where it is",
        melody="not the note a semitone above the sixth",
    ),
    _row(
        "minor six-nine",
        "m6/9",
        where.minor_six_nine,
        0.6,
        when="i in minor, at rest",
        effect="Cm becomes Cm6/9",
        reason="Sixth and ninth open the minor tonic as they open the major one.",
        listen="the ninth rubbing on the minor third",
        melody="not the note a semitone above the sixth or the ninth",
    ),
    _row(
        "minor seventh",
        "m7",
        where.minor_seventh,
        1.0,
        when="ii, iii or vi in major, or any minor triad a fifth above a dominant",
        effect="Dm becomes Dm7",
        reason="The seventh softens a minor chord and, over a falling fifth, falls on to a third.",
        listen="the seventh, and where it goes: down to the third of a chord a fifth below",
        melody="not the note a semitone above the seventh",
    ),
    _row(
        "minor ninth",
        "m9",
        where.minor_ninth,
        0.55,
        when="ii of the key on its way to V",
        effect="Dm7 becomes Dm9",
        reason="The ninth of ii may stay as the thirteenth of V, or fall to its fifth.",
        listen="the ninth, staying or falling while the chord moves under it",
        melody="not the note a semitone above the ninth",
    ),
    _row(
        "dominant seventh",
        "7",
        where.seventh,
        1.0,
        when="a major triad that acts as a dominant: V, or a fifth above the next root",
        effect="G becomes G7",
        reason="The seventh gives the chord its tritone, and the tritone wants to move.",
        listen="the seventh against the third: a tritone that wants to close",
        melody="not the note a semitone above the seventh",
    ),
    _row(
        "dominant ninth",
        "9",
        where.ninth,
        1.25,
        when="a dominant seventh that does not go home to minor",
        effect="G7 becomes G9, the root may go",
        reason="The ninth sweetens the dominant and leaves third and seventh alone to do the work.",
        listen="the ninth over the tritone of third and seventh",
        melody="not the note a semitone above the ninth",
    ),
    _row(
        "dominant thirteenth",
        "13",
        where.thirteenth,
        1.0,
        when="a dominant on its way to a major chord, or the I7 of a blues",
        effect="G7 becomes G13, never with the natural eleventh",
        reason="It is the coming tonic's third heard early, or, on a blues tonic, the sixth.",
        listen="the thirteenth on top, a sixth above the root",
        melody="not the note a semitone above the thirteenth or the ninth",
    ),
    _row(
        "thirteenth in a chain",
        "13",
        where.thirteenth_in_chain,
        1.0,
        depth=3,
        when="a dominant on its way to another dominant",
        effect="A7 D7 becomes A13 D9",
        reason="The thirteenth of one dominant falls a whole tone to the ninth of the next.",
        listen="thirteenth, ninth, thirteenth, ninth: every other chord a tone lower",
        melody="not the note a semitone above the thirteenth or the ninth",
    ),
    _row(
        "dominant flat nine into minor",
        "7b9",
        where.flat_ninth,
        1.15,
        when="a dominant that falls a fifth to a minor chord",
        effect="A7 becomes A7b9 before Dm7",
        reason="The flat ninth belongs to the minor key ahead and falls a semitone to its fifth.",
        listen="the flat ninth, falling a semitone to the fifth of the next chord",
        melody="not the natural ninth of the dominant",
    ),
    _row(
        "full diminished seventh",
        "dim7",
        where.diminished_seventh,
        1.0,
        when="a diminished triad",
        effect="Cdim becomes Cdim7",
        reason="A diminished chord in four minor thirds has the same shape at every third fret.",
        listen="one shape that comes back at every third fret",
        melody="not the note a semitone above the diminished seventh",
    ),
    _row(
        "V7♯5",
        "7#5",
        where.augmented,
        1.2,
        depth=3,
        when="a dominant that falls a fifth to a major chord of rest",
        effect="G7 becomes G7#5 before C",
        reason="The raised fifth climbs a semitone to the third of the chord ahead.",
        listen="the raised fifth, climbing a semitone to the third of the next chord",
        melody="not the natural fifth of the dominant, held: it rubs against the raised one",
    ),
    _row(
        "V7♯5 into minor",
        "7#5",
        where.augmented_into_minor,
        1.1,
        depth=3,
        when="a dominant that falls a fifth to a minor chord: i, ii, iv or vi",
        effect="A7 becomes A7#5 before Dm7",
        reason="The raised fifth is already the third of the minor chord ahead, and waits for it.",
        listen="the raised fifth staying where it is while the chord moves under it",
        melody="not the natural fifth of the dominant, held: it rubs against the raised one",
    ),
    _row(
        "V7♭9 into major",
        "7b9",
        where.flat_ninth_into_major,
        0.7,
        depth=3,
        when="a dominant that falls a fifth to a major chord",
        effect="G7 becomes G7b9 before C",
        reason="The flat ninth is borrowed from the minor key of the same name.",
        listen="the flat ninth, falling a semitone to the fifth of the next chord",
        melody="not the natural ninth of the dominant",
    ),
    SwapRow(
        "colour of the tune",
        1,
        when="a held or accented note of the tune that is a colour of the chord under it",
        effect="under a B flat in the tune A7 becomes A7b9; under B, C becomes Cmaj7",
        reason="The note the tune holds is taken into the chord, so that both say the same.",
        listen="the chord ringing with the tune's own note",
        melody="it follows the melody",
        offers=_asked_for,
        preference=1.7,
        colour=True,
    ),
)
"""The colour rows, in the order ties are settled."""
