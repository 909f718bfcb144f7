"""A fourth set of published befores and afters, written down before the tool saw one of them.

It was gathered when the offers' order had been tuned on the three others, from pages that print
both chords, read where they are printed. What a page leaves open (how long a chord lasts, the bar
after) is one or two chords a bar; a table of four columns is two bars and a way home.
"""

from __future__ import annotations

from support.published_swaps import Published

SEABROOK = "T. Seabrook, Jazz tip no. 22, Turnarounds and substitutions, part 1"
COMBINATIONS = "open note, I VI II V progression, Combinations"
DOMINANT_SUBS = "open lesson, Jazz chord substitutions, table Dominant (V7)"
TURNBACKS = "open lesson, Turnarounds, Basic substitutions"
SEGMENT = "open lesson 3, Turnarounds"
ELMORE = "open lesson, Different substitutes for the 2-5-1"
DIM_LESSON = "open lesson, Diminished chords"
SERNA = "D. Serna, Diminished 7ths as passing chords on the guitar"
TECHNIQUES = "open article, Reharmonization Techniques"
WARNOCK = "M. Warnock, Minor blues, section 1"
OMT_EMBELLISHING = "Open Music Theory, VI. Jazz, Embellishing Chords, applied V7"
OMT_SUBSTITUTIONS = "Open Music Theory, VI. Jazz, Substitutions, mode mixture"
SUBSTITUTE = "open reference page, Chord substitution (jazz reharmonization)"
BRIDGE = "open lesson, Rhythm changes, four bridges"
LARSEN_RHYTHM = "J. Larsen, Rhythm changes, chord substitution for new lines"
LIPPINCOTT = "T. Lippincott, Rhythm changes, part 1, basic substitutions"
MANDOLIN = "open lesson I, swing mandolin, twelve-bar blues"
UKE_INTROS = "open lesson, jazzy intros and outros on the ukulele, table"
UKE_TRICKS = "open lesson, five chord substitution tricks on the ukulele"
WESTERN = "open lecture note, Substitutions (western swing)"
BACKDOOR = "open encyclopedia, Backdoor progression"

ROWS: tuple[tuple[str, str, str, str, str], ...] = (
    (SEABROOK, "C", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Em7 Am7 | Dm7 G7 | Cmaj7", "iii vi ii V I"),
    (SEABROOK, "C", "Cmaj7 Am7 | Dm7 G7 | Cmaj7", "Em7 A7 | Dm7 G7 | Cmaj7", "iii VI ii V I"),
    (SEABROOK, "C", "Em7 Am7 | Dm7 G7 | Cmaj7", "E7 Am7 | Dm7 G7 | Cmaj7", "III vi ii V I"),
    (COMBINATIONS, "C", "C Am | Dm G7", "C Am | D7 G7", "I vi II V"),
    (COMBINATIONS, "C", "C Am | Dm G7", "C Eb7 | Dm G7", "I bIII ii V"),
    (COMBINATIONS, "C", "C Am | Dm G7", "C Am | Ab7 G7", "I vi bVI V"),
    (COMBINATIONS, "C", "C Am | Dm G7", "C Am | Dm Db7", "I vi ii bII"),
    (DOMINANT_SUBS + ", 2", "C", "G7 | G7 | C", "Dm7 | G7 | C", "ii V I"),
    (DOMINANT_SUBS + ", 3", "C", "G7 | G7 | C", "Dm7 | Db7 | C", "ii bII I"),
    (DOMINANT_SUBS + ", 4", "C", "G7 | G7 | C", "Abm7 | Db7 | C", "bvi bII I"),
    (DOMINANT_SUBS + ", 5", "C", "G7 | G7 | C", "Em7 A7 | Dm7 G7 | C", "iii VI ii V I"),
    (DOMINANT_SUBS + ", 6", "C", "G7 | G7 | C", "Em7 Eb7 | Dm7 Db7 | C", "iii bIII ii bII I"),
    (DOMINANT_SUBS + ", 7", "C", "G7 | G7 | C", "E7 Eb7 | D7 Db7 | C", "III bIII II bII I"),
    (DOMINANT_SUBS + ", 8", "C", "G7 | G7 | C", "Bbm7 Eb7 | Abm7 Db7 | C", "bvii bIII bvi bII I"),
    (DOMINANT_SUBS + ", 9", "C", "G7 | G7 | C", "D7 | G7 | C", "II V I"),
    (DOMINANT_SUBS + ", 10", "C", "G7 | G7 | C", "Am7 D7 | Dm7 G7 | C", "vi II ii V I"),
    (DOMINANT_SUBS + ", 11", "C", "G7 | G7 | C", "Am7 Ab7 | Dm7 G7 | C", "vi bVI ii V I"),
    (DOMINANT_SUBS + ", 12", "C", "G7 | G7 | C", "Ebm7 Ab7 | Dm7 G7 | C", "biii bVI ii V I"),
    (DOMINANT_SUBS + ", 13", "C", "G7 | G7 | C", "Ebm7 Ab7 | Abm7 Db7 | C", "biii bVI bvi bII I"),
    (DOMINANT_SUBS + ", 14", "C", "G7 | G7 | C", "Dm7b5 | G7 | C", "ii V I"),
    (TURNBACKS + ", 1", "C", "Cmaj7 | Cmaj7 | Cmaj7", "Cmaj7 | G7 | Cmaj7", "I V I"),
    (TURNBACKS + ", 2", "C", "Cmaj7 | G7 | Cmaj7", "Cmaj7 | Dm7 G7 | Cmaj7", "I ii V I"),
    (SEGMENT + ", 4", "F", "Fmaj7 D7 | Gm7 C7 | Fmaj7", "Am7 D7 | Gm7 C7 | Fmaj7", "iii VI ii V I"),
    (ELMORE + ", 1", "C", "Dm7 | G7 | Cmaj7/E", "Dm7 | D#dim7 | Cmaj7/E", "ii #ii° I"),
    (DIM_LESSON + ", 2", "C", "Dm7 | G7 | C", "Dm7 | Bdim7 | C", "ii vii° I"),
    (SERNA, "Bb", "Bb | Cm7 | Bb7/D", "Bb | Cm7 C#dim7 | Bb7/D", "I ii #ii° I"),
    (SERNA, "F", "C | Dm", "C C#dim7 | Dm", "V #v° vi"),
    (TECHNIQUES + ", 4", "C", "C | F | C", "C | Fm | C", "I iv I"),
    (TECHNIQUES + ", 4", "C", "C | F | C", "C | Bb7 | C", "I bVII I"),
    (TECHNIQUES + ", 4", "C", "C | F | C", "C | Abmaj7 | C", "I bVI I"),
    (TECHNIQUES + ", 5", "C", "C | C | C", "C Cmaj7 | C7 C6 | C", "I I I I I"),
    (WARNOCK + ", 2", "C minor", "Cm7 | Dm7b5 | G7 | Cm7", "Cm7 | Ab7 | G7 | Cm7", "i bVI V i"),
    (WARNOCK + ", 3", "C minor", "Cm7 | Cm7 | Fm7", "Cm7 | Gm7b5 C7 | Fm7", "i ii/iv V/iv iv"),
    (OMT_EMBELLISHING, "Bb", "Bb | C7 | Gb7 | F7", "Bb | C7 | Db7 Gb7 | F7", "I II bIII bVI V"),
    (OMT_SUBSTITUTIONS, "C", "Dm7 | G7 | C", "Dm7 | G7b9 | C", "ii V I"),
    (SUBSTITUTE, "C", "Dm7 | G7 | Cmaj7", "Dm7 | Dbmaj7 | Cmaj7", "ii bII I"),
    (
        BRIDGE + ", 3",
        "Bb",
        "D7 | D7 | G7 | G7 | C7",
        "D7 | D7 | Db7 | Db7 | C7",
        "III III bIII bIII II",
    ),
    (
        BRIDGE + ", 4",
        "Bb",
        "D7 | D7 | G7 | G7 | C7",
        "D7 | D7 | Abm7 | Db7 | C7",
        "III III bvii bIII II",
    ),
    (
        LARSEN_RHYTHM,
        "Bb",
        "Bbmaj7 G7 | Cm7 F7 | Bb",
        "Bbmaj7 Bdim7 | Cm7 B7 | Bb",
        "I #i° ii bII I",
    ),
    (LIPPINCOTT, "Bb", "Bb | Bb7 | Eb", "Bb | Fm7 Bb7 | Eb", "I v I IV"),
    (MANDOLIN, "G", "D7 | D7 | G7", "Am7 | D7 | G7", "ii V I"),
    (MANDOLIN, "G", "G7 | G7", "G7 G#dim7 | Am7 D7", "I #i° ii V"),
    (UKE_INTROS, "C", "C | Am | F | G7", "C | A7b9 | F | G7", "I VI IV V"),
    (UKE_TRICKS + ", 1b", "C", "C Am | F G7", "C Am | Dm G7", "I vi ii V"),
    (UKE_TRICKS + ", 2b", "C", "C A7 | Dm G7", "C A7 | D7 G7", "I VI II V"),
    (WESTERN, "G", "G | G | G | G | C7", "G | Gmaj7 | G6 | G7 | C7", "I I I I IV"),
    (BACKDOOR, "C", "Dm7 | G7 | C", "Dm7 | Bb7 | C", "ii bVII I"),
    (BACKDOOR, "C", "Dm7 | G7 | C", "Abmaj7 | Bb7 | C", "bVI bVII I"),
)

FRESH: tuple[Published, ...] = tuple(
    Published(source, "read", key, before, after, numerals)
    for source, key, before, after, numerals in ROWS
)
"""The examples, in the order in which they were found."""

MISREAD = 0
"""How many of those found have other numerals than the page."""
FIRST_LOOK = 16
"""How many were among the first eight offers when they were tried first, 21 of them in 24."""
NOW, NOW_ANYWHERE = 37, 46
"""How many are since, and how many are among the first 24 offers."""
ONE_PAGE = tuple(example for example in FRESH if example.source.startswith(DOMINANT_SUBS))
"""The page that prints thirteen ways to fill the same two bars: eight places cannot hold them."""
NOW_WITHOUT = 30
"""How many of the other 35 are among the first eight."""
