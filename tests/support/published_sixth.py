"""A sixth set of published befores and afters, written down before the tool saw one of them.

It was gathered when numerals, lanes and order had been tuned on the five others, from pages that
print the chords, read where they are printed. Of a table every row is here, of rows of one exercise
those bars in which two rows differ. Numerals are by degree; lengths that a page leaves open are
one or two chords a bar.
"""

from __future__ import annotations

from support.published_swaps import Published

RINZLER = "P. Rinzler, Chord Subs (handout), "
RINZLER_INSTEAD, RINZLER_BESIDE = RINZLER + "first table", RINZLER + "second table"
RINZLER_TUNES = RINZLER + "excerpts"
RUSSELL = "R. Russell, Rhythm Changes (lecture note), The A Section"
PASSING_CHORD = "open encyclopedia, Passing chord"
QUESTION = "open answer to a reader, Passing chords"
HEAR = "open article, Passing Chords: Use These Chords Almost Anywhere"
NEW_JERSEY = "open lesson 12, 12 Bar Blues Progressions and Variations, "
UNDERSTANDING = "open lesson, Understanding Blues Forms and Common Substitutions"
EXTENDING = "open article, Extending the 12-Bar Blues"
BACK_DOOR = "open lesson, Reh Document (back door progression)"
MAGIC = "open note, C Major Turnarounds and Substitution magic"

TWO_FIVE = "Dm7 | G7 | Cmaj7"
STEPS = "Cmaj7 | Em7 | Dm7 | G7"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Fmaj7 | G7 | Cmaj7", "IV V I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | Bm7b5 | Cmaj7", "ii vii I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | G7 | Em7", "ii V iii"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | G7 | Am7", "ii V vi"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | Db7 | Cmaj7", "ii bII I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "D7 | G7 | Cmaj7", "II V I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7b5 | G7 | Cmaj7", "ii V I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | G7 | Cm7", "ii V i"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Fm7 | G7 | Cmaj7", "iv V I"),
    (RINZLER_INSTEAD, "C", TWO_FIVE, "Dm7 | Bdim7 | Cmaj7", "ii vii° I"),
    (RINZLER_BESIDE, "C", "Dm7 | G7 | Cmaj7", "Dm7 D7 | G7 | Cmaj7", "ii II V I"),
    (RINZLER_BESIDE, "C", "Dm7 | G7 | Cmaj7", "Dm7 Fm7 | G7 | Cmaj7", "ii iv V I"),
    (RINZLER_BESIDE, "C", "Dm7 | G7 | Cmaj7", "Dm7 | Ab7 G7 | Cmaj7", "ii bVI V I"),
    (RINZLER_BESIDE, "C", "Dm7 | G7 | Cmaj7", "Dm7 | F#7 G7 | Cmaj7", "ii bV V I"),
    (RINZLER_BESIDE, "C", "G7 | Cmaj7", "G7 | Dbmaj7 Cmaj7", "V bII I"),
    (RINZLER_BESIDE, "C", "G7 | Cmaj7", "G7 | Bmaj7 Cmaj7", "V VII I"),
    (RINZLER_BESIDE, "C", "G7 | Cmaj7", "Dm7 G7 | Cmaj7", "ii V I"),
    (RINZLER_BESIDE, "C", "Cmaj7 | Cmaj7 | Cmaj7", "Cmaj7 | G7 | Cmaj7", "I V I"),
    (RINZLER_BESIDE, "C", "Cmaj7 | Cmaj7 | Cmaj7", "Cmaj7 | Fmaj7 | Cmaj7", "I IV I"),
    (RINZLER_BESIDE, "C", "G7 | Cmaj7", "G7 | D#dim7 Cmaj7", "V #ii° I"),
    (RINZLER_BESIDE, "C", "Dm7 | G7 | Cmaj7", "Dm7 | D#dim7 | Cmaj7", "ii #ii° I"),
    (RINZLER_TUNES, "C", "Cmaj7 Em | Dm7 G7", "Cmaj7 Em | Fmaj7 G7", "I iii IV V"),
    (
        RINZLER_TUNES,
        "Eb",
        "Fm7 Bb7 | Eb Edim7 | Fm7",
        "Fm7 Bb7 | Cm7 Edim7 | Fm7",
        "ii V vi #i° ii",
    ),
    (RINZLER_TUNES, "Eb", "Fm7 | Bb7 | Eb7", "Fm7 | E7 | Eb7", "ii bII I"),
    (RINZLER_TUNES, "Eb", "Cm7 | Cm7 | Bbm7 | Eb7", "Cm7 | Cm7 | Bb7 | Eb7", "vi vi V I"),
    (
        RINZLER_TUNES,
        "F",
        "Em7b5 A7 | Dm7 G7 | Gm7 | C7",
        "Em7b5 A7 | Dm7 G7 | Gm7b5 | C7",
        "vii III vi II ii V",
    ),
    (RINZLER_TUNES, "Eb", "Gm7 C7 | Fm7 Bb7", "Gm7 C7 | Abm7 Bb7", "iii VI iv V"),
    (RINZLER_TUNES, "F", "Bb6 | Bbm6 | Fmaj7", "Bb6 | Bbm6 Eb7 | Fmaj7", "IV iv bVII I"),
    (
        RINZLER_TUNES,
        "C",
        "Cmaj7 | Cmaj7 | E7 | E7 | A7",
        "Cmaj7 | Cmaj7 | E7 | Bm7 E7 | A7",
        "I I III vii III VI",
    ),
    (RINZLER_TUNES, "C", "Fmaj7 | Fm7 | Cmaj7", "Fmaj7 | Fm7 G7 | Cmaj7", "IV iv V I"),
    (
        RINZLER_TUNES,
        "C",
        "A7 | A7 | Dm7 | Dm7 | Fmaj7",
        "A7 | A7 | Dm7 | Gm7 C7 | Fmaj7",
        "VI VI ii v I IV",
    ),
    (
        RINZLER_TUNES,
        "Bb",
        "Dm7 | C#dim7 | Cm7 | F7",
        "Dm7 | C#dim7 | Cm7 Ebm7 | F7",
        "iii biii° ii iv V",
    ),
    (RINZLER_TUNES, "F", "Gm7 | C7", "Gm7 / Am7 Bbmaj7 | C7", "ii iii IV V"),
    (RUSSELL, "Bb", "Bb Gm | Cm F7", "Bb Bdim7 | Cm F7", "I #i° ii V"),
    (RUSSELL, "Bb", "Cm F7 | Dm7 G7", "Cm C#dim7 | Dm7 G7", "ii #ii° iii VI"),
    (
        RUSSELL,
        "Bb",
        "Bb Gm | Cm F7 | Bb/F",
        "Bb Bb7/D | Eb Edim7 | Bb/F",
        "I I IV #iv° I",
    ),
    (
        RUSSELL,
        "Bb",
        "Eb Edim7 | Bb Gm | Cm F7",
        "Eb Edim7 | Bb/F Dbdim7 | Cm F7",
        "IV #iv° I biii° ii V",
    ),
    (RUSSELL, "Bb", "Eb Ebm | Bb F7 | Bb", "Eb Edim7 | Bb/F F7 | Bb", "IV #iv° I V I"),
    (RUSSELL, "Bb", "Bb Gm | Cm F7", "Bb G7 | Cm F7", "I VI ii V"),
    (RUSSELL, "Bb", "Bb Bb7 | Eb Ebm", "Fm7 Bb7 | Eb Ebm", "v I IV iv"),
    (RUSSELL, "Bb", "Eb Ebm | Dm7 G7", "Eb Ab7 | Dm7 G7", "IV bVII iii VI"),
    (PASSING_CHORD, "C", STEPS, "Cmaj7 Dm7 | Em7 | Dm7 | G7", "I ii iii ii V"),
    (PASSING_CHORD, "C", STEPS, "Cmaj7 | Em7 Ebm7 | Dm7 | G7", "I iii biii ii V"),
    (PASSING_CHORD, "C", STEPS, "Cmaj7 B7 | Em7 A7 | Dm7 | G7", "I VII iii VI ii V"),
    (
        PASSING_CHORD,
        "C",
        STEPS,
        "Cmaj7 D#dim7 | Em7 C#dim7 | Dm7 | G7",
        "I #ii° iii #i° ii V",
    ),
    (QUESTION, "G", "G | D7", "G Dbdim7 | D7", "I #iv° V"),
    (QUESTION, "G", "G | D", "G A7 | D", "I II V"),
    (QUESTION, "C", "C | Am", "C C/B | Am", "I I vi"),
    (QUESTION, "C", "C | Am", "C Cmaj7 | Am", "I I vi"),
    (HEAR, "C", "C | Am7 | Dm7 | G7", "C Abdim7 | Am7 | Dm7 | G7", "I #v° vi ii V"),
    (HEAR, "C", "C | Am7 | Dm7 | G7", "C | Am7 Dbdim7 | Dm7 | G7", "I vi #i° ii V"),
    (NEW_JERSEY + "Count Basie", "F", "F7 | F7 | Bb7", "F7 | Cm7 F7 | Bb7", "I v I IV"),
    (NEW_JERSEY + "Count Basie", "F", "Bb7 | Bb7 | F7", "Bb7 | Bdim7 | F7", "IV #iv° I"),
    (NEW_JERSEY + "Count Basie", "F", "F7 | F7 | Gm7", "F7 | D7 | Gm7", "I VI ii"),
    (NEW_JERSEY + "Bebop", "F", "F7 | D7 | Gm7", "F7 | Am7 D7 | Gm7", "I iii VI ii"),
    (NEW_JERSEY + "Bebop", "F", "F7 | F7", "Am7 D7 | Gm7 C7", "iii VI ii V"),
    (
        NEW_JERSEY + "Tritone Substitution",
        "F",
        "Bb7 | Bdim7 | F7",
        "Bb7 | Bm7 E7 | F7",
        "IV #iv VII I",
    ),
    (
        NEW_JERSEY + "Tritone Substitution",
        "F",
        "F7 | Am7 D7 | Gm7",
        "F7 E7 | Eb7 D7 | Gm7",
        "I VII bVII VI ii",
    ),
    (UNDERSTANDING, "C", "G7 | F7 | C7", "Dm7 | G7 | C7", "ii V I"),
    (UNDERSTANDING, "C", "C7 | C7 | C7 | C7", "C7 | F7 | C7 | C7", "I IV I I"),
    (EXTENDING, "C", "C7 | C7 | F7", "Cm7 | Cm7 | F7", "i i IV"),
    (EXTENDING, "C", "F7 | F7 | C7", "F7 | Fm7 | C7", "IV iv I"),
    (BACK_DOOR, "C", "Dm7 G7 | Cmaj7", "Fm7 Bb7 | Cmaj7", "iv bVII I"),
    (MAGIC, "C", "C A7 | Dm7 G7 | C", "C Ebm7 | Dm7 Db7 | C", "I biii ii bII I"),
    (MAGIC, "C", "C A7 | Dm7 G7 | C", "Em7b5 Ebm7 | Dm7 Db7 | C", "iii biii ii bII I"),
)

SIXTH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 22
"""How many of the 65 were among the first eight offers when they were tried first, 27 of them in
24."""
NOW = 49
"""How many are since the ways into any chord were added, and an order fitted to all sets."""
