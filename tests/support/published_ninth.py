"""A ninth set of published befores and afters, written down before the tool saw one of them.

It was gathered when catalogue and order had been set on the eight others, from pages read in
excerpts that print the chords or say the rule; rules are laid over the bars that their page
speaks of, in a key of ours where it gives none. Chords that a page puts between two others share
the bar of the first. It gives no numerals: the set is for what is offered alone.
"""

from __future__ import annotations

from support.published_swaps import Published

PRIMER = "open primer, A Chord Substitution Primer, substitution one"
FORUM = "open forum of guitar players, Chord Substitutions 6, V of"
NAFFIN = "N. Naffin, Substitution, 1, some common substitutions"
DODGE = "M. Dodge, Substitution Methods Explained, IIm7-V7, option 2"
COLOUR = "open lesson, diminished color, passing tones, example 1"
HOWLETT = "G. Howlett, free lesson of August 2009, I to V"
BREAKING = "J. Larsen, Reharmonizing a II V by breaking the rules"
DIATONIC = "guitar magazine, Diatonic and Minor Third Substitutions, fig. 1 to 3"
BACKCYCLING = "open lesson, Backcycling, part II"
COURSE = "open course of songwriting, day 3, secondary dominants"
HOLT = "open lesson in improvisation, Secondary dominants"
RESOURCE = "open lesson, Secondary Dominant Chords, secondary dominants in C"
NOTES = "open lecture notes, Secondary Dominance"
READING = "open reading notes on a text of jazz theory, fig. 13.5"
PRACTISING = "open lesson, How to Practice and Apply Back Cycling, definition"
BORROWED = "open blog of a pianist, Borrowed Chords or Modal Interchange"
INTERCHANGE = "open blog, Modal Interchange"
SAXOPHONE = "open course for the saxophone, dominant minor substitution"

CYCLE, AWAY = "Cmaj7 | Am7 | Dm7 | G7", "Am7 | D7 | Gmaj7"

ROWS: tuple[tuple[str, str, str, str], ...] = (
    (PRIMER, "C", "C | Am | F | G7", "Em | Am | F | G7"),
    (PRIMER, "C", "C | Am | F | G7", "C | Am | Dm | G7"),
    (PRIMER, "C", "C | F | C | F", "Em | F | C | F"),
    (FORUM, "G", "E | G", "E D7 | G"),
    (FORUM, "G", "E | G", "D7 | G"),
    (FORUM, "G", "E | G", "E | D7 G"),
    (NAFFIN, "C", "Dm7 | G7 | C", "Dm7 | Em7 | C"),
    (NAFFIN, "C", "C | F | G7", "C | Dm7 | G7"),
    (NAFFIN, "C", "C | Dm7 | G7", "Am7 | Dm7 | G7"),
    (NAFFIN, "C", "C | Dm7 | G7", "Em7 | Dm7 | G7"),
    (NAFFIN, "C", "C | G7 | C", "C | Dm7 G7 | C"),
    (DODGE, "C", "D7 | G7 | C", "Am7 D7 | G7 | C"),
    (COLOUR, "C", "Cmaj7 | Dm7 | G7", "Cmaj7 C#dim7 | Dm7 | G7"),
    (HOWLETT, "C", "C | G7", "C / Em7 Ebdim7 | Dm7 G7"),
    (BREAKING, "G", AWAY, "Am7 | F#maj7 | Gmaj7"),
    (BREAKING, "G", AWAY, "Am7 | Fm7 | Gmaj7"),
    (BREAKING, "G", AWAY, "Am7 | Bbm7 | Gmaj7"),
    (DIATONIC, "C", CYCLE, "Cmaj7 | Am7 | Fmaj7 | G7"),
    (DIATONIC, "C", CYCLE, "Cmaj7 | Am7 | Fmaj7 Dm7 | G7"),
    (DIATONIC, "C", CYCLE, "Cmaj7 | Am7 | Dm7 | Bm7b5 G7"),
    (DIATONIC, "C", CYCLE, "Am7 Em7 | Am7 | Dm7 | G7"),
    (BACKCYCLING, "C", "C | C | G7 | G7", "C | A | D | G7"),
    (BACKCYCLING, "C", "C | C | G7 | G7", "C | Am7 | Dm7 | G7"),
    (BACKCYCLING, "C", "C | C | C | C | F", "C | Bm7b5 E7 | Am7 D7 | Gm7 C7 | F"),
    (COURSE, "C", "Am | Dm | G7 | C", "A7 | Dm | G7 | C"),
    (COURSE, "C", "Am | Dm | G7 | C", "A7 | D7 | G7 | C"),
    (COURSE, "C", "C | Am | F | G", "C E7 | Am | F | G"),
    (COURSE, "C", "C | Am | F | G", "C E7 | Am C7 | F D7 | G"),
    (COURSE, "C", "G | C", "D7 G | C"),
    (HOLT, "C", "C | F | G7 | C", "C | F D7 | G7 | C"),
    (HOLT, "C", "C | F | G | Am", "C | F | G E | Am"),
    (RESOURCE, "C", "Cmaj7 | Dm7 | G7", "Cmaj7 A7 | Dm7 | G7"),
    (NOTES, "C", "C | F | G | C", "C | F D | G | C"),
    (NOTES, "C", "C | Am | G | C", "C E | Am | G | C"),
    (READING, "C", CYCLE, "Cmaj7 | A7 | D7 | G7"),
    (READING, "C", CYCLE, "Cmaj7 | Eb7 | Dm7 | Db7"),
    (PRACTISING, "C", "Dm7 | G7 | C", "Dm7 D7 | G7 | C"),
    (BORROWED, "C", "Am | F | C", "Ab | Fm6 | C"),
    (INTERCHANGE, "F", "Bbmaj7 | F", "Bbm7 | F"),
    (SAXOPHONE, "C", "G7 | C", "Dm | C"),
)

NINTH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, "") for source, key, before, after in ROWS
)
"""The examples, in the order in which they were found."""

FIRST_LOOK, FIRST_LOOK_ANYWHERE = 20, 21
"""How many of the 40 were among the first eight offers when they were tried first, and among 24.

One of the 20, ii and V for the V of a C G7 C, is an example of an earlier set too. Three of those
missed have a triad where the tool offers the dominant seventh. After the first look one formula
was added, V of V in a single bar, which every textbook has; no weight was fitted to the set.
"""
