"""Before and after, as open textbooks, theses and lecture notes print them: data for a test.

``read`` sources were looked at (the passage named); ``memory`` sources are quoted from memory.
Chords are given in the key of the example, in a key of ours where a passage gives only degrees
or another key; what the books leave open (how long a chord lasts)
is one or two chords a bar. Every second example belongs to the half that was looked at only
when everything else was done.
"""

from __future__ import annotations

from typing import NamedTuple


class Published(NamedTuple):
    """One example: where it is printed, its key, the bars before and after, its numerals."""

    source: str
    how: str
    key: str
    before: str
    after: str
    numerals: str


WIKI = "open encyclopedia, Turnaround (music), Typical examples"
DAMERON = "open encyclopedia, Tadd Dameron turnaround, Construction"
CLEMENTS = "P. Clements, Jazz Theory and Practice, module 4"
CLEMENTS6 = "P. Clements, Jazz Theory and Practice, module 6a"
WATKINS = "M. Watkins, Fundamentals of Jazz Improvisation, 13: The Tritone Substitution"
FIVE = "open article, Five Jazz Chord Substitutions"
LICK = "open article, Substitute Rhythm Changes"
FELTS = "R. Felts, Reharmonization Techniques, ch. 11 (open excerpt)"
MICHAELSEN = "G. Michaelsen, Rhythm Changes, Improvisation, and Chromaticism, fig. 1 and after"
OMT = "Open Music Theory, VI. Jazz"
HUTCHINSON = "R. Hutchinson, Music Theory for the 21st-Century Classroom"
LEVINE = "M. Levine, The Jazz Theory Book"
BACKDOOR = "open encyclopedia, Backdoor progression"
BAKER = "M. Baker, course of jazz guitar, lessons on substitutes"
PASSING = "open article, Passing Chords, secondary dominant"
PATTERNS = "open teaching sheet, Diminished Chord Patterns, ascending"
NETTLES = "B. Nettles and R. Graf, The Chord Scale Theory and Jazz Harmony"
MAHONEY = "J. Mahoney, The Elements of Jazz Harmony and Analysis (thesis), tritone substitution"

PUBLISHED: tuple[Published, ...] = (
    Published(WIKI, "read", "C", "C Am7 | Dm7 G7 | C", "C A7 | Dm7 G7 | C", "I V/ii ii V I"),
    Published(
        DAMERON, "read", "C", "C Am7 | Dm7 G7 | C", "C Eb7 | Ab7 Db7 | C", "I bIII bVI bII I"
    ),
    Published(DAMERON, "read", "C", "C Am7 | Dm7 G7 | C", "C A7 | D7 G7 | C", "I VI II V I"),
    Published(
        CLEMENTS + "a3", "read", "C", "C A7 | Dm7 G7 | C", "C C#dim7 | Dm7 G7 | C", "I #i° ii V I"
    ),
    Published(CLEMENTS + "a2", "read", "C", "C | C", "C A7 | Dm7 G7", "I VI ii V"),
    Published(
        CLEMENTS + "a5", "read", "C", "C A7 | Dm7 G7 | C", "C Eb7 | Dm7 G7 | C", "I bIII ii V I"
    ),
    Published(CLEMENTS + "a1", "read", "C", "C | G7 | C", "C | Dm7 G7 | C", "I ii V I"),
    Published(WATKINS, "read", "Bb", "Cm7 | F7 | Bb", "Cm7 | B7 | Bb", "ii bII I"),
    Published(
        FIVE + ", 1",
        "read",
        "C",
        "F | C Am7 | Dm7 G7 | C",
        "F | Em7 A7 | Dm7 G7 | C",
        "IV iii VI ii V I",
    ),
    Published(
        FIVE + ", 2",
        "read",
        "C",
        "Cmaj7 | A7 | Dm7 | G7 | C",
        "Cmaj7 | C#dim7 | Dm7 | G7 | C",
        "I #i° ii V I",
    ),
    Published(FIVE + ", 3", "read", "C", "Dm7 | G7 | Cmaj7", "Dm7 | Db7 | Cmaj7", "ii bII I"),
    Published(
        LICK, "read", "C", "C A7 | Dm7 G7 | C", "C C#dim7 | Dm7 D#dim7 | C", "I #i° ii #ii° I"
    ),
    Published(
        "Jazz Blues, open lesson on bars 5 and 6",
        "read",
        "C",
        "C7 | F7 | F7 | C7 | C7",
        "C7 | F7 | F#dim7 | C7 | C7",
        "I IV #iv° I I",
    ),
    Published(
        "open lesson, The I bIIIo7 II-7 V7 turnaround",
        "read",
        "C",
        "C Am7 | Dm7 G7 | C",
        "C Ebdim7 | Dm7 G7 | C",
        "I biii° ii V I",
    ),
    Published(
        "D. Mabe, I IV V Progressions with Substitutions",
        "read",
        "C",
        "C | F | G7 | C",
        "C | Dm7 | G7 | C",
        "I ii V I",
    ),
    Published(
        CLEMENTS6 + ", minor blues, bars 9 and 10",
        "read",
        "C minor",
        "Cm | G7 | G7 | Cm",
        "Cm | Ab7 | G7 | Cm",
        "i bVI V i",
    ),
    Published(FELTS, "read", "C minor", "Cm | Cm | Fm", "Cm CmMaj7 | Cm7 Cm6 | Fm", "i i i i iv"),
    Published(
        MICHAELSEN, "read", "Bb", "Bb Gm7 | Cm7 F7 | Bb", "Bb G7 | Cm7 F7 | Bb", "I V/ii ii V I"
    ),
    Published(
        WIKI + ": I VI II V",
        "read",
        "F",
        "F | Dm7 | Gm7 | C7 | F",
        "F | D7 | G7 | C7 | F",
        "I V/ii V/V V I",
    ),
    Published(
        OMT + ", Substitutions: tritone", "read", "F", "Gm7 | C7 | F", "Gm7 | Gb7 | F", "ii bII I"
    ),
    Published(
        OMT + ", Embellishing Chords: applied V7",
        "read",
        "C",
        "C | Dm7 | G7 | C",
        "C A7 | Dm7 | G7 | C",
        "I V/ii ii V I",
    ),
    Published(
        OMT + ", Embellishing Chords: applied ii–V",
        "read",
        "C",
        "C | C | Am7 | Dm7",
        "C | Bm7b5 E7 | Am7 | Dm7",
        "I ii/vi V/vi vi ii",
    ),
    Published(
        OMT + ", Embellishing Chords: common-tone diminished",
        "read",
        "C",
        "C | C | Dm7",
        "C | Cdim7 C | Dm7",
        "I i° I ii",
    ),
    Published(
        "open lesson, Diminished chords, 1",
        "read",
        "G",
        "G | Am7 | D7",
        "G G#dim7 | Am7 | D7",
        "I #i° ii V",
    ),
    Published(
        OMT + ", Substitutions: mode mixture",
        "read",
        "C",
        "Dm7 | G7 | C",
        "Dm7b5 | G7 | C",
        "ii V I",
    ),
    Published(
        OMT + ", Substitutions: applied chord for diatonic",
        "read",
        "C",
        "C | Am7 | Dm7 | G7",
        "C | A7 | Dm7 | G7",
        "I V/ii ii V",
    ),
    Published(
        "open lesson, ii-V-I patterns, page 1",
        "read",
        "F",
        "F7 | C7 | Bb7 | F7",
        "F7 | Gm7 | C7 | F7",
        "I ii V I",
    ),
    Published(
        "open lesson 10, Jazzing up the Blues, 2",
        "read",
        "C",
        "C7 | C7 | C7 | C7 | F7",
        "C7 | F7 | C7 | C7 | F7",
        "I IV I I IV",
    ),
    Published(
        "open lesson, The Jazz Blues Progression, the framework",
        "read",
        "C",
        "F7 | C7 | C7 | Dm7 | G7",
        "F7 | C7 | A7 | Dm7 | G7",
        "IV I V/ii ii V",
    ),
    Published(
        "G. Howlett, Another favorite reharmonization idea",
        "read",
        "C",
        "C | C | F | G7",
        "C | Gm7 C7 | F | G7",
        "I ii/IV V/IV IV V",
    ),
    Published(
        HUTCHINSON + ", 32 (tritone substitution)",
        "memory",
        "Eb",
        "Fm7 | Bb7 | Eb",
        "Fm7 | E7 | Eb",
        "ii bII I",
    ),
    Published(
        "open lesson, Turnarounds, Basic substitutions, 2",
        "read",
        "C",
        "G7 | C",
        "Dm7 G7 | C",
        "ii V I",
    ),
    Published(
        "T. Seabrook, Jazz tip no. 22",
        "read",
        "C",
        "Em7 Am7 | Dm7 G7 | C",
        "E7 A7 | D7 G7 | C",
        "III VI II V I",
    ),
    Published(
        LEVINE + ", ch. 13: sus for V",
        "memory",
        "C",
        "Dm7 | G7 | C",
        "Dm7 | G7sus4 G7 | C",
        "ii V V I",
    ),
    Published(
        "open lesson, Rhythm changes, four bridges, 2",
        "read",
        "C",
        "C | E7 | E7 | A7 | A7 | D7 | D7 | G7 | G7 | C",
        "C | Bm7 | E7 | A7 | A7 | D7 | D7 | G7 | G7 | C",
        "I vii III VI VI II II V V I",
    ),
    Published(
        BACKDOOR,
        "read",
        "C",
        "F | F | C | C",
        "F | Fm7 Bb7 | C | C",
        "IV iv bVII I I",
    ),
    Published(BACKDOOR, "read", "C", "Dm7 | G7 | C", "Fm7 | Bb7 | C", "iv bVII I"),
    Published(
        PASSING, "read", "Ab", "Eb | Fm | Ab | Db", "Eb | Fm | Ab Ab7 | Db", "V vi I V/IV IV"
    ),
    Published(
        "open note, I VI II V progression, Combinations",
        "read",
        "C",
        "C | Am7 | Dm7 | G7 | C",
        "C | Am7 | Ab7 | G7 | C",
        "I vi bVI V I",
    ),
    Published(
        "T. Seabrook, Jazz tip no. 22",
        "read",
        "C",
        "G7 | C Am7 | Dm7 G7 | C",
        "G7 | Em7 A7 | Dm7 G7 | C",
        "V iii VI ii V I",
    ),
    Published(
        BAKER + ": I I° ii V",
        "memory",
        "G",
        "G | Am7 | D7 | G",
        "G Gdim7 | Am7 | D7 | G",
        "I i° ii V I",
    ),
    Published(
        BAKER + ": iii biii ii",
        "memory",
        "G",
        "Bm7 | Am7 | D7 | G",
        "Bm7 Bbm7 | Am7 | D7 | G",
        "iii biii ii V I",
    ),
    Published(BAKER + ": V7 augmented", "memory", "C", "Dm7 | G7 | C", "Dm7 | G7#5 | C", "ii V I"),
    Published(NETTLES + ", subdominant minor", "memory", "C", "F | C", "F Fm | C", "IV iv I"),
    Published(
        PATTERNS + ", #II into I6", "read", "C", "Dm7 | C/E", "Dm7 D#dim7 | C/E", "ii #ii° I"
    ),
    Published(
        NETTLES + ", deceptive resolution",
        "memory",
        "C",
        "G7 | C | Am7 | Dm7",
        "G7 | Em7 | Am7 | Dm7",
        "V iii vi ii",
    ),
    Published(MAHONEY, "memory", "C", "A7 | D7 | G7 | C", "A7 | Ab7 | G7 | C", "VI bVI V I"),
    Published(
        "T. Seabrook, Jazz tip no. 22",
        "read",
        "C",
        "Cmaj7 Am7 | Dm7 G7 | Cmaj7",
        "Cmaj7 A7 | D7 G7 | Cmaj7",
        "I VI II V I",
    ),
    Published(
        PATTERNS + ", #IV into I6-4",
        "read",
        "C",
        "Fmaj7 | C/G | C",
        "Fmaj7 F#dim7 | C/G | C",
        "IV #iv° I I",
    ),
    Published(
        "common practice: minor turnaround",
        "memory",
        "A minor",
        "Am | Am",
        "Am F#m7b5 | Bm7b5 E7",
        "i #vi ii V",
    ),
)
"""The examples; those with an odd place (0, 2, 4 … are for tuning) were kept for the end."""

TUNING = PUBLISHED[0::2]
KEPT_BACK = PUBLISHED[1::2]
