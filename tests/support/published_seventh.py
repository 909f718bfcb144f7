"""A seventh set of published befores and afters, written down before the tool saw one of them.

It was gathered when the ways into any chord were there and the order had been fitted to the six
others, from pages that print the chords, read where they are printed, none of them used before. A
page that changes every bar in one way gives one example a bar; where a page gives a rule and its
chords, the chords around them are ours (what it resolves to). Numerals are by degree; lengths that
a page leaves open are one or two chords a bar.
"""

from __future__ import annotations

from support.published_swaps import Published

LAURIA = "V. Lauria, blog note on preceding chords, original and new progressions"
LEADING = "open article, Reharmonization 1, Leading Chords"
LESSON = "open guitar lesson, jazz, list of progressions"
RHYTHM = "open encyclopedia, Rhythm changes, Chords"
SAX = "open lesson for the saxophone, I Got Rhythm, Variations"
WESTERN = "open lesson sheet, Western Swing Rhythm, measures 1 to 6"
FORUM = "open mandolin forum, swing chords, second answer"
FIVE_OF = "open lesson, Western Swing, the 5-of rule"
CHURCH = "open lessons for church pianists, chord substitutions"
GIST = "open note (Japanese) on cadences and dominant motion"
BERTONE = "L. Bertone, lesson (Italian), rhythm in G, substitutes of the dominant"
TWO_FIVE_SUBS = "open lesson, IIm-V Substitution, part VIII"
HALF_STEP = "open lesson, Half-Step Substitution, part VII"
RULES = "open text file, chord substitution rules"
TABLE = "open page, Substitutions, series of a I VI II V"
BANJO = "R. Nickerson, banjo encyclopedia (excerpt), Augmented Chords"
UKULELE = "ukulele magazine, How to Jazz Up the Ukulele, relative minor"
SUBSTITUTE = "open encyclopedia, Substitute chord"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (LAURIA, "C", "C | Am | F | G7", "C | Am | F | Dm7 G7", "I vi IV ii V"),
    (LAURIA, "C", "C | Am | F | G7 | C", "C | Am C7 | F | G7 | C", "I vi I IV V I"),
    (LAURIA, "C", "C | Am | F | G7 | C", "C E7 | Am | F | G7 | C", "I III vi IV V I"),
    (LAURIA, "C", "C | Am | F | G7 | C", "C | Am | F D7 | G7 | C", "I vi IV II V I"),
    (LEADING, "F", "F7 | Bb7 | F7", "F7 B7 | Bb7 | F7", "I bV IV I"),
    (LEADING, "F", "F7 | Bb7 | F7", "F7 | Bb7 Gb7 | F7", "I IV bII I"),
    (LESSON, "C", "C Am7 | Dm7 G7 | C", "C C#dim7 | Dm7 G7 | C", "I #i° ii V I"),
    (LESSON, "C", "C C#dim7 | Dm7 G7 | C", "C C#dim7 | Dm7 Db7 | C", "I #i° ii bII I"),
    (LESSON, "C", "Dm7 | G7 | C", "Dm7 | Db7 | C", "ii bII I"),
    (RHYTHM, "Bb", "Bb Gm7 | Cm7 F7", "Bb G7 | Cm7 F7", "I VI ii V"),
    (RHYTHM, "Bb", "Bb Gm7 | Cm7 F7", "Dm7 Gm7 | Cm7 F7", "iii vi ii V"),
    (RHYTHM, "Bb", "Bb Bb7 | Eb Ebm | Bb F7", "Fm7 Bb7 | Eb Ebm | Bb F7", "v I IV iv I V"),
    (RHYTHM, "Bb", "Bb Bb7 | Eb Ebm | Bb F7", "Bb Bb7 | Eb Ab7 | Bb F7", "I I IV bVII I V"),
    (RHYTHM, "Bb", "Eb Ebm | Bb G7 | Cm7 F7", "Eb Ebm | Dm7 G7 | Cm7 F7", "IV iv iii VI ii V"),
    (RHYTHM, "Bb", "Eb Ebm | Bb F7 | Bb", "Eb Ebm | Cm7 F7 | Bb", "IV iv ii V I"),
    (SAX, "Bb", "Bb7 | Eb | Bb", "Bb7 | Eb Ebm | Bb", "I IV iv I"),
    (SAX, "Bb", "Bb7 | Eb | Bb", "Bb7 | Eb Edim7 | Bb", "I IV #iv° I"),
    (SAX, "Bb", "D7 | D7 | G7 | G7", "Am7 | D7 | G7 | G7", "vii III VI VI"),
    (SAX, "Bb", "D7 | D7 | G7 | G7 | C7", "D7 | D7 | Db7 | Db7 | C7", "III III bIII bIII II"),
    (WESTERN, "G", "G | C", "G G7 | C", "I I IV"),
    (WESTERN, "G", "C | G | D7", "C Cm | G | D7", "IV iv I V"),
    (WESTERN, "G", "G | D7 | G", "G C#dim7 | D7 | G", "I #iv° V I"),
    (WESTERN, "G", "C | D7 | G", "C C#dim7 | D7 | G", "IV #iv° V I"),
    (FORUM, "G", "G | G", "G G#dim7 | Am D7", "I #i° ii V"),
    (FORUM, "G", "D7 | D7 | G", "D7 | Am D7 | G", "V ii V I"),
    (FIVE_OF, "G", "G | D7 | G", "G A7 | D7 | G", "I II V I"),
    (FIVE_OF, "G", "C | D7 | G", "C A7 | D7 | G", "IV II V I"),
    (CHURCH, "C", "F | C | F", "F | Em | F", "IV iii IV"),
    (CHURCH, "C", "F | C | F", "F | Am | F", "IV vi IV"),
    (CHURCH, "C", "C | F | C", "C | Dm | C", "I ii I"),
    (CHURCH, "C", "C | F | C", "C | Am | C", "I vi I"),
    (CHURCH, "C", "F | G7 | C", "F | Dm7 G7 | C", "IV ii V I"),
    (GIST, "C", "C | F | G7 | C", "C | Fm | G7 | C", "I iv V I"),
    (GIST, "C", "C | F | G7 | C", "C | F Fm | G7 | C", "I IV iv V I"),
    (GIST, "C", "C | F | G7 | C", "C | F | G7 | Am", "I IV V vi"),
    (GIST, "C", "C | C7 | F", "C | Gm7 C7 | F", "I v I IV"),
    (BERTONE, "G", "G7 | C7 | G7", "G7 | Em7b5 | G7", "I vi I"),
    (BERTONE, "G", "D7 | G7", "F#m7b5 | G7", "vii I"),
    (TWO_FIVE_SUBS, "C", "C | C | G7 | G7", "C | C | Dm7 | G7", "I I ii V"),
    (TWO_FIVE_SUBS, "C", "Dm7 | Dm7 | G7 | G7", "Ebm7 | Ab7 | Dm7 | G7", "biii bVI ii V"),
    (TWO_FIVE_SUBS, "C", "Dm7 | Dm7 | G7 | G7", "Dbm7 | Gb7 | Dm7 | G7", "bii bV ii V"),
    (HALF_STEP, "C", "C | C | Dm7 | G7", "C | C#dim7 | Dm7 | D#dim7", "I #i° ii #ii°"),
    (HALF_STEP, "C", "Cmaj7 | Am7 | Dm7 | G7", "Cmaj7 / / Bbm7 | Am7 | Dm7 | G7", "I bvii vi ii V"),
    (HALF_STEP, "C", "Cmaj7 | Am7 | Dm7 | G7", "Cmaj7 | Am7 / / Ebm7 | Dm7 | G7", "I vi biii ii V"),
    (HALF_STEP, "C", "Cmaj7 | Am7 | Dm7 | G7", "Cmaj7 | Am7 | Dm7 / / Ab7 | G7", "I vi ii bVI V"),
    (HALF_STEP, "C", "Cmaj7 | Am7 | Dm7 | G7", "Cmaj7 | Am7 | Dm7 | G7 / / Db7", "I vi ii V bII"),
    (HALF_STEP, "C", "C7 | A7 | D7 | G7", "C7 / / Bb7 | A7 | D7 | G7", "I bVII VI II V"),
    (HALF_STEP, "C", "C7 | A7 | D7 | G7", "C7 | A7 / / Eb7 | D7 | G7", "I VI bIII II V"),
    (HALF_STEP, "C", "C7 | A7 | D7 | G7", "C7 | A7 | D7 / / Ab7 | G7", "I VI II bVI V"),
    (HALF_STEP, "C", "Cmaj7 | A7 | Dm7 | G7", "Cmaj7 / / Ab7 | A7 | Dm7 | G7", "I bVI VI ii V"),
    (HALF_STEP, "C", "Cmaj7 | A7 | Dm7 | G7", "Cmaj7 | A7 / / Db7 | Dm7 | G7", "I VI bII ii V"),
    (HALF_STEP, "C", "Cmaj7 | A7 | Dm7 | G7", "Cmaj7 | A7 | Dm7 / / Gb7 | G7", "I VI ii bV V"),
    (HALF_STEP, "C", "Cmaj7 | A7 | Dm7 | G7", "Cmaj7 | A7 | Dm7 | G7 / / B7", "I VI ii V VII"),
    (RULES, "C", "G7 | Cmaj7 | Fmaj7", "G7 | Am7 | Fmaj7", "V vi IV"),
    (RULES, "C", "G7 | Cmaj7 | Fmaj7", "G7 | Em7 | Fmaj7", "V iii IV"),
    (RULES, "F", "C7 | F", "Gb7 | F", "bII I"),
    (RULES, "F", "C7 | F", "Eb7 | F", "bVII I"),
    (RULES, "F", "C7 | F", "A7 | F", "III I"),
    (RULES, "F", "C7 | F", "Bbmaj7 | F", "IV I"),
    (RULES, "F", "C7 | F", "Gm7 | F", "ii I"),
    (RULES, "F", "C7 | F", "Em7b5 | F", "vii I"),
    (RULES, "C minor", "G7 | Cm7 | Fm7", "G7 | Ebmaj7 | Fm7", "V bIII iv"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "Em7 | Am7 | Dm7 | G7", "iii vi ii V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "C | A7 | Dm7 | G7", "I VI ii V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "C | A7 | D7 | G7", "I VI II V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "E7 | A7 | D7 | G7", "III VI II V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "Bb7 | E7 | Ab7 | G7", "bVII III bVI V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "Bb7 | A7 | Ab7 | G7", "bVII VI bVI V"),
    (TABLE, "C", "C | Am7 | Dm7 | G7", "E7 | Eb7 | D7 | Db7", "III bIII II bII"),
    (BANJO, "G", "D | D | G", "D | Daug | G", "V V I"),
    (UKULELE, "C", "C | F | C", "Am | F | C", "vi IV I"),
    (UKULELE, "C", "C | F | C", "C Am | F | C", "I vi IV I"),
    (SUBSTITUTE, "A", "E7 | A", "G#dim7 | A", "vii° I"),
    (SUBSTITUTE, "C", "G7 | C", "D#dim7 | C", "#ii° I"),
)

SEVENTH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 40
"""How many were among the first eight offers when they were tried first, 50 of them in 24. The
catalogue that had only rows of one degree each, tried the same day, had 41 and 44.
"""
NOW = 47
"""How many are since they were tuned on, with moves that nobody had thought of."""
