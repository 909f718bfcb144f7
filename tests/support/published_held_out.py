"""A third set of published befores and afters, written down before the tool saw one of them;
then it was tuned on.

All were read where they are printed: lesson pages and a magazine that anybody can open. Most are
about the blues; the two other sets are about songs. What a page leaves open (how long a
chord lasts, the bar before and after) is one or two chords a bar.
"""

from __future__ import annotations

from support.published_swaps import Published

MAGAZINE = "open magazine lesson, Colorful jazz-blues chord substitutions"
JAZZ_BLUES = "open lesson, The Jazz Blues Progression, Jazz Blues in A"
VARIATION = "open lesson series, Major Blues 12-Bar Form & Harmony, variation 7"
MCHUGH_1 = "D. McHugh, The 12 bar blues structure, phrase 1"
MCHUGH_2 = "D. McHugh, The 12 bar blues structure, phrase 2"
JAZZING = "open lesson 10, Jazzing up the Blues, 3"
SWING_BLUES = "open lesson, ii-V-I patterns, page 1"
TECHNIQUES = "open article, Reharmonization Techniques"
RAACH = "H. Raach, Tip for reharmonizing"
LARSEN = "J. Larsen, 10 Levels of Turnarounds, level 1"
DIMINISHED = "open lesson, The I bIII° ii V turnaround"
NUGGETS = "guitar magazine, Nov./Dec., Nuggets, p. 16"
VARIATIONS = "open lesson, I VI II V Turnaround Variations, diatonic substitutions"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (MAGAZINE, "G", "G7 | G7 | C7", "Dm7 | G7 | C7", "v V/IV IV"),
    (MAGAZINE, "G", "G7 | G7 | Am7 | D7", "G7 | Bm7 E7 | Am7 | D7", "I iii VI ii V"),
    (MAGAZINE, "G", "C7 | C7 | G7", "C7 | C#dim7 | G7", "IV #iv° I"),
    (JAZZ_BLUES, "A", "A7 | A7 | D7", "A7 | Em7 A7 | D7", "I v I IV"),
    (JAZZ_BLUES, "A", "A7 | F#7 | Bm7 | E7", "A7 Ab7 | G7 Gb7 | Bm7 | E7", "I VII bVII VI ii V"),
    (JAZZ_BLUES, "A", "A7 | A7 | Bm7 | E7", "A7 | F#7 | Bm7 | E7", "I VI ii V"),
    (JAZZ_BLUES, "A", "A7 | E7", "A7 F#7 | Bm7 E7", "I VI ii V"),
    (VARIATION, "C", "C7 | C7", "C7 A7 | D7 G7", "I VI II V"),
    (MCHUGH_1, "G", "G7 | G7 | G7", "G7 | C7 | G7", "I IV I"),
    (MCHUGH_1, "G", "G7 | G7 | G7", "G7 | C7 C#dim7 | G7", "I IV #iv° I"),
    (MCHUGH_2, "G", "C7 | C7 | G7", "C7 | F#7 | G7", "IV VII I"),
    (MCHUGH_2, "G", "C7 | C7 | G7", "C7 | C#m7 F#7 | G7", "IV #iv VII I"),
    (MCHUGH_2, "G", "G7 | G7 | Am7 | D7", "G7 | Bm7b5 E7b9 | Am7 | D7", "I iii VI ii V"),
    (MCHUGH_2, "G", "G7 | G7 | Am7 | D7", "G7 C7 | Bm7b5 E7 | Am7 | D7", "I IV iii VI ii V"),
    (JAZZING, "Bb", "Bb7 | Eb7", "Bb7 / / E7 | Eb7", "I bV IV"),
    (SWING_BLUES, "G", "D7 | C7 | G7 | D7", "Am7 | D7 | G7 | D7", "ii V I V"),
    (TECHNIQUES, "C", "G7 | C", "Dm7 G7 | C", "ii V I"),
    (TECHNIQUES, "C", "C | Am | Dm | G7", "C E7 | Am | Dm | G7", "I III vi ii V"),
    (TECHNIQUES, "C", "C | Am | Dm | G7", "C | Am A7 | Dm | G7", "I vi VI ii V"),
    (TECHNIQUES, "C", "G7 | C", "Db7 | C", "bII I"),
    (TECHNIQUES, "C", "G7 | C", "Abm7 Db7 | C", "bvi bII I"),
    (TECHNIQUES, "C", "F | G7 | C", "Dm | G7 | C", "ii V I"),
    (RAACH, "C", "Dm7 | G7 | C", "Dm7 | G#dim7 | C", "ii #v° I"),
    (LARSEN, "C", "C | G7", "C | Dm7 G7", "I ii V"),
    (LARSEN, "C", "C | Dm7 G7", "C Am7 | Dm7 G7", "I vi ii V"),
    (DIMINISHED, "C", "C Am7 | Dm7 G7", "C Ebdim7 | Dm7 G7", "I biii° ii V"),
    (NUGGETS + ", fig. 3", "G", "G7 | D7", "G7 G#dim7 | Am7 D7", "I #i° ii V"),
    (NUGGETS + ", fig. 4", "G", "G7 | D7", "G7 E7 | Eb7 D7", "I VI bVI V"),
    (VARIATIONS, "C", "C Am7 | Dm7 G7", "Em7 Am7 | Dm7 G7", "iii vi ii V"),
    (VARIATIONS, "C", "C Am7 | Dm7 G7", "C Am7 | Fmaj7 G7", "I vi IV V"),
)

HELD_OUT: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 13
"""How many were among the first eight offers when they were tried first."""
NOW = 29
"""How many are since the offers are ranked by what the books print."""
