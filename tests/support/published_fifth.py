"""A fifth set of published befores and afters, written down before the tool saw one of them.

It was gathered when catalogue and order had been tuned on the four others, from pages that print
the chords, read where they are printed. Where a page prints one chord between two (a passing
chord), the two alone are the before; where it prints rows of one exercise, those bars are taken
in which two rows differ. Numerals are the page's, by degree where it prints none; lengths that
a page leaves open are one or two chords a bar.
"""

from __future__ import annotations

from support.published_swaps import Published

MCCAUL = "E. L. McCaul, A Blues Substitution Exercise"
SUMMARY = "open teaching sheet, Reharmonization Summary, table"
APPROACH = "open teaching sheet, Reharmonization Summary, Half-Step Approach Chords"
PATTERNS = "open teaching sheet, Diminished Chord Patterns, ascending"
INTO_TWO = "open lesson (Italian), Turnaround che risolve sul iim7"
REHARMONY = "open note, Reharmony, Intermediate Jazz, tritone substitutions"
DOMINANT_PASSING = "open lesson, Slick Dominant Passing Chords"
PASSING = "open article, Passing Chords, secondary dominant and chromatic"
STANDARD = "open lesson, Rhythm Changes, chords, most simple version, third line"
LARSEN = "J. Larsen, Rhythm changes, tritone substitutes and altered dominants"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (MCCAUL + ", row 4, bar 4", "E", "E7 | E7 | A7", "E7 | Bm7 E7 | A7", "I v I IV"),
    (MCCAUL + ", row 4, bar 6", "E", "A7 | A7 | E7", "A7 | A#dim7 | E7", "IV #iv° I"),
    (
        MCCAUL + ", row 3, bars 8 to 10",
        "E",
        "E7 | E7 | B7 | A7 | E7",
        "E7 | C#7 | F#m7 | B7 | E7",
        "I VI ii V I",
    ),
    (MCCAUL + ", row 4, bars 11 and 12", "E", "E7 | B7", "E7 C#7 | F#m7 B7", "I VI ii V"),
    (
        MCCAUL + ", row 5, bars 5 to 9",
        "E",
        "A7 | A#dim7 | E7 | C#7 | F#m7",
        "A7 | Am7 | G#m7 | C#7 | F#m7",
        "IV iv iii VI ii",
    ),
    (
        MCCAUL + ", row 6, bars 7 and 8",
        "E",
        "E7 | C#7 | F#m7 | B7",
        "E13 D#13 | D13 C#13 | F#m7 | B7",
        "I VII bVII VI ii V",
    ),
    (
        MCCAUL + ", row 7, bar 6",
        "E",
        "A7 | Am7 | G#m7",
        "A7 | Am7 D9 | G#m7",
        "IV iv bVII iii",
    ),
    (MCCAUL + ", row 7, bar 8", "E", "G#m7 | C#7 | F#m7", "G#m7 | Gm7 | F#m7", "iii biii ii"),
    (
        SUMMARY + ", tritone sub",
        "C",
        "Em7 Am7 | Dm7 G7 | Cmaj7",
        "Em7 Eb7 | Dm7 Db7 | Cmaj7",
        "iii bIII ii bII I",
    ),
    (
        SUMMARY + ", biii dim sub",
        "C",
        "Em7 Am7 | Dm7 G7 | Cmaj7",
        "Em7 Ebdim7 | Dm7 G7 | Cmaj7",
        "iii biii° ii V I",
    ),
    (
        SUMMARY + ", combo 1",
        "C",
        "Em7 Am7 | Dm7 G7 | Cmaj7",
        "Em7 A7 | Dm7 Db7 | Cmaj7",
        "iii VI ii bII I",
    ),
    (
        SUMMARY + ", combo 2",
        "C",
        "Em7 Am7 | Dm7 G7 | Cmaj7",
        "E7 Ebdim7 | D7 G7 | Cmaj7",
        "III biii° II V I",
    ),
    (APPROACH, "C", "Em7 | Am7 | Dm7", "Em7 Bb7 | Am7 | Dm7", "iii bVII vi ii"),
    (APPROACH, "C", "Am7 | Dm7 | G7", "Am7 Eb7 | Dm7 | G7", "vi bIII ii V"),
    (APPROACH, "C", "Dm7 | G7 | Cmaj7", "Dm7 | G7 Db7 | Cmaj7", "ii V bII I"),
    (PATTERNS + ", #II", "C", "Dm7 | Em7", "Dm7 D#dim7 | Em7", "ii #ii° iii"),
    (PATTERNS + ", III", "C", "Cmaj7 | Fmaj7", "Cmaj7 Edim7 | Fmaj7", "I iii° IV"),
    (PATTERNS + ", #IV", "C", "Fmaj7 | G7", "Fmaj7 F#dim7 | G7", "IV #iv° V"),
    (PATTERNS + ", #V", "C", "G7 | Am7", "G7 G#dim7 | Am7", "V #v° vi"),
    (INTO_TWO + ", 1", "C", "Cmaj7 | Cmaj7 | Dm", "Cmaj7 | Em7b5 A7 | Dm", "I ii/ii V/ii ii"),
    (
        INTO_TWO + ", 2",
        "C",
        "Cmaj7 | Cmaj7 | Dm",
        "Cmaj7 Fmaj7 | Em7b5 A7 | Dm",
        "I IV ii/ii V/ii ii",
    ),
    (INTO_TWO + ", 3", "C", "Cmaj7 | Cmaj7 | Dm", "Cmaj7 B7 | Em7 A7 | Dm", "I VII iii VI ii"),
    (INTO_TWO + ", 4", "C", "Cmaj7 | Cmaj7 | Dm", "Cmaj7 B7 | Bb7 A7 | Dm", "I VII bVII VI ii"),
    (INTO_TWO + ", 5", "C", "Cmaj7 | Cmaj7 | Dm", "Cmaj7 F7 | Bb7 Eb7 | Dm", "I IV bVII bIII ii"),
    (REHARMONY, "F", "C7 | F", "Gb7 | F", "bII I"),
    (DOMINANT_PASSING, "C", "Dm7 | G7 | Cmaj7", "Dm7 Ab7 | G7 | Cmaj7", "ii bVI V I"),
    (PASSING, "Ab", "Db | Eb | Fm | Ab", "Db | Eb C7 | Fm | Ab", "IV V III vi I"),
    (PASSING, "Ab", "Db | Eb | Fm | Ab", "Db | Eb F#7 | Fm | Ab", "IV V bVII vi I"),
    (STANDARD, "Bb", "Bbmaj7 Gm7 | Cm7 F7", "Dm7 G7 | Cm7 F7", "iii VI ii V"),
    (LARSEN, "Bb", "Bbmaj7 G7 | Cm7 F7", "Bbmaj7 Db7 | Cm7 F7", "I bIII ii V"),
)

FIFTH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 14
"""How many were among the first eight offers when they were tried first, 17 of them in 24."""
NOW = 23
"""How many are since; 28 are among the first 24."""
