"""An eighth set of published befores and afters, written down before the tool saw one of them.

It was gathered when catalogue and order had been set on the seven others, from pages that print
the chords, read where they are printed; the blog of which the seventh set has one page gives two
others. A chord that a page puts between two others shares the bar of the first. Numerals are by
degree; lengths that a page leaves open are one or two chords a bar.
"""

from __future__ import annotations

from support.published_swaps import Published

PART_4 = "V. Lauria, blog, Chord Substitutions, part 4"
PART_5 = "V. Lauria, blog, Chord Substitutions, part V"
TRITONES = "open table of tritone substitutes, row C"
GUIDE = "open excerpt of a guide to music theory, p. 208, dominant seventh substitutions"
BEBOP = "open lesson, Bebop Blues"
EVOLUTION = "open article, Bebop blues, Harmonic Evolution"
MAGAZINE = "open magazine, entire issue, p. 20, secondary dominants"
ARENA = "open blog of a piano school, Secondary dominant passing chord 1"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (PART_4, "C", "C | Am7 | F | G7", "C | A7 | F | G7", "I VI IV V"),
    (PART_4, "C", "C | G7 | F | Dm", "C | Gm7 | F | Dm", "I v IV ii"),
    (PART_4, "C", "F | Dm7 | G7 | C", "F | Dm7 / D7 Dm7 | G7 | C", "IV ii II ii V I"),
    (PART_4, "C", "Dm | G7 | C", "Dm | Bdim7 | C", "ii vii° I"),
    (PART_4, "C", "C | C | G | G7", "C Dm | Em F | G | G7", "I ii iii IV V V"),
    (PART_5, "C", "C | Dm7 | G7 | C", "C | Dm7b5 | G7 | C", "I ii V I"),
    (PART_5, "C", "C | Em7 | F | G7", "C | Em7b5 | F | G7", "I iii IV V"),
    (PART_5, "C", "C | Am7 | G7 | C", "C | Am7 Am7b5 | G7 | C", "I vi vi V I"),
    (PART_5, "C", "C | Em7 | Am7 | G7", "C | Em7 Em7b5 | Am7 | G7", "I iii iii vi V"),
    (PART_5, "C", "C | G7 | Am7", "C | G7 G#dim7 | Am7", "I V #v° vi"),
    (PART_5, "C", "Am7 | F | G", "Am7 | F F#dim7 | G", "vi IV #iv° V"),
    (PART_5, "C", "F | G | C", "F | G Bdim7 | C", "IV V vii° I"),
    (PART_5, "C", "Am | G | Dm", "Am | G C#dim7 | Dm", "vi V #i° ii"),
    (PART_5, "C", "G | Dm | F", "G | Dm Edim7 | F", "V ii iii° IV"),
    (PART_5, "C", "Dm | F | C", "Dm | F Bdim7 | C", "ii IV vii° I"),
    (PART_5, "C", "C | Em | F | C", "C | Em | F Fm | C", "I iii IV iv I"),
    (PART_5, "C", "C | G | F | C", "C | G | F Fm | C", "I V IV iv I"),
    (TRITONES, "C", "Dm7 | G7 | C", "Ab7 | G7 | C", "bVI V I"),
    (TRITONES, "C", "Dm7 | G7 | C", "Dm7 | Db7 | C", "ii bII I"),
    (TRITONES, "C", "C | A7 | Dm7 | G7", "C | Eb7 | Dm7 | G7", "I bIII ii V"),
    (GUIDE, "C", "G7 | C", "F | C", "IV I"),
    (GUIDE, "C", "G7 | C", "Edim7 | C", "iii° I"),
    (BEBOP, "F", "F7 | F7 | F7 | F7", "F7 | Bb7 | F7 | F7", "I IV I I"),
    (BEBOP, "F", "Bb7 | Bb7 | F7", "Bb7 | Bdim7 | F7", "IV #iv° I"),
    (BEBOP, "F", "F7 | F7 | Gm7 | C7", "F7 | D7b9 | Gm7 | C7", "I VI ii V"),
    (EVOLUTION, "F", "F7 | F7 | C7 | Bb7 | F7", "F7 | D7 | Gm7 | C7 | F7", "I VI ii V I"),
    (MAGAZINE, "C", "C | Am | Dm | G7", "C | A7 | D7 | G7", "I VI II V"),
    (MAGAZINE, "C", "C | Am | Dm | G7", "C | A7 | Dm | G7", "I VI ii V"),
    (MAGAZINE, "C", "C | Am | Dm | G7", "C | Am | D7 | G7", "I vi II V"),
    (ARENA, "C", "C | G | F", "C D7 | G | F", "I II V IV"),
    (ARENA, "C", "C | G | F", "C | G C7 | F", "I V I IV"),
)

EIGHTH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 19
"""How many were among the first eight offers when they were tried first, 23 of them in 24. The
catalogue that had only rows of one degree each, tried the same day, had 18 and 18.
"""
NOW = 22
"""How many are since they were tuned on, with moves that nobody had thought of."""
