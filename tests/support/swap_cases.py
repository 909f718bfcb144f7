"""An example of every swap: where it belongs, where it does not, what melody forbids it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Case:
    bars: str
    swing: str
    never: str
    melody: str
    key: str = "C"
    never_key: str = ""
    ending: str = ""
    section: str = "A"
    tune: str = ""


FOUR = "| C | Am | Dm | G7 | C |"
BLUES = "| C7 | % | % | % | F7 | % | C7 | % | G7 | F7 | C7 | % |"
REST = " r:4 |"

CASES = {
    "tonic sixth": Case("| C | F |", "C6 | F6", "| G | Am |", "| Bb4:4 | Eb5:4 |"),
    "six-nine": Case("| C | G7 |", "C6/9 | G7", "| Am | Em |", "| Eb5:4 |" + REST),
    "tonic major seventh": Case("| C | G7 |", "Cmaj7 | G7", "| Am | G |", "| C5:4 |" + REST),
    "minor sixth": Case(
        "| Am | E7 |", "Am6 | E7", "| Am | Dm |", "| G4:4 |" + REST, key="A minor", never_key="C"
    ),
    "minor six-nine": Case(
        "| Am | E7 |", "Am6/9 | E7", "| Am | Dm |", "| C5:4 |" + REST, key="A minor", never_key="C"
    ),
    "minor seventh": Case(
        "| Dm | G7 |", "Dm7 | G7", "| Am | E |", "| Db5:4 |" + REST, never_key="A minor"
    ),
    "minor ninth": Case("| Dm7 | G7 |", "Dm9 | G7", "| Am7 | D7 |", "| F5:4 |" + REST),
    "dominant seventh": Case("| G | C |", "G7 | C", "| F | C |", "| F#5:4 |" + REST),
    "dominant ninth": Case(
        "| G7 | C |", "G9 | C", "| E7 | Am |", "| Bb4:4 |" + REST, never_key="A minor"
    ),
    "dominant thirteenth": Case("| G7 | C |", "G13 | C", "| G7 | Am |", "| F5:4 |" + REST),
    "dominant flat nine into minor": Case(
        "| A7 | Dm |", "A7b9 | Dm", "| G7 | C |", "| B4:4 |" + REST
    ),
    "full diminished seventh": Case(
        "| Bdim | C |", "Bdim7 | C", "| Bm7b5 | C |", "| A4:4 |" + REST
    ),
    "V7♯5": Case("| G7 | C |", "G7#5 | C", "| G7 | Em |", "| D5:4 |" + REST),
    "V7♯5 into minor": Case("| A7 | Dm |", "A7#5 | Dm", "| G7 | C |", "| E5:4 |" + REST),
    "♯IV° to I": Case("| F6 | C6 |", "F6 F#dim7 | C6", "| F6 | G7 |", "| r:2 G4:2 |" + REST),
    "related ii": Case("| G7 | C6 |", "Dm7 G7 | C6", "| Dm7 | G7 | C6 |", "| Bb4:4 |" + REST),
    "secondary dominant": Case("| C | Dm |", "C A7 | Dm", "| Am | Dm |", "| r:2 D5:2 |" + REST),
    "I7 into IV": Case("| C | F |", "C C7 | F", "| C | Dm |", "| r:2 B4:2 |" + REST),
    "passing diminished up": Case(
        "| C6 | Dm7 |", "C6 C#dim7 | Dm7", "| C6 | Em7 |", "| r:2 D5:2 |" + REST
    ),
    "passing diminished down": Case(
        "| Em7 | Dm7 |", "Em7 Ebdim7 | Dm7", "| Em7 | Am7 |", "| r:2 E5:2 |" + REST
    ),
    "quick change": Case(
        BLUES,
        "C7 | F7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | C7",
        "| C7 | F7 | C7 | % | F7 | % | C7 | % | G7 | F7 | C7 | % |",
        "|" + REST + " E5:4 |" + 10 * REST,
    ),
    "minor iv": Case("| F | C |", "F Fm6 | C", "| F | G7 |", "| r:2 A4:2 |" + REST),
    "minor line cliché": Case(
        "| Cm | % |", "Cm CmMaj7 | Cm7 Cm6", "| Cm | Fm |", "| r:2 C5:2 |" + REST, key="C minor"
    ),
    "major line cliché": Case(
        "| C | % | Dm | G7 |",
        "Cmaj7 | C6 | Dm | G7",
        "| C | Am | Dm | G7 |",
        "| C5:4 |" + 3 * REST,
    ),
    "side-slip": Case(
        "| C6 | A7 | Dm7 |",
        "C6:3 Bb7:1 | A7 | Dm7",
        "| C6 | Am7 | Dm7 |",
        "| r:3 Eb5:1 |" + 2 * REST,
    ),
    "diatonic substitution": Case(
        "| F | G7 | C |", "F Dm7 | G7 | C", "| F | C |", "| C#5:4 |" + 2 * REST
    ),
    "extended dominant chain": Case("| Dm7 | G7 |", "D7 | G7", "| Dm7 | C |", "| F4:4 |" + REST),
    "backdoor ♭VII7": Case("| G7 | C6 |", "Bb7 | C6", "| G7 | Am7 |", "| B4:4 |" + REST),
    "tritone substitution": Case(
        "| Dm7 G7 | C6 |", "Dm7 Db7 | C6", "| G7 | Am7 |", "| r:2 A4:2 |" + REST
    ),
    "rootless 7♭9 as diminished": Case(
        "| E7 | Am |", "E7 G#dim7 | Am", "| E7 | F |", "| F#4:2 F#4:2 |" + REST
    ),
    "turnaround I VI7 ii V7": Case(
        FOUR, "C | A7 | Dm7 | G7 | C", "| C | Am | F | G7 | C |", "|" + REST + " D5:4 |" + 3 * REST
    ),
    "turnaround I ♯I° ii V7": Case(
        FOUR,
        "C | C#dim7 | Dm7 | G7 | C",
        "| C | Am | F | G7 | C |",
        "|" + REST + " D5:4 |" + 3 * REST,
    ),
    "turnaround I ♯I° ii ♯II°": Case(
        FOUR,
        "C | C#dim7 | Dm7 | D#dim7 | C",
        "| C | Am | F | G7 | C |",
        "|" + 3 * REST + " E5:4 |" + REST,
    ),
    "turnaround I VI II V dominants": Case(
        FOUR,
        "C | A7 | D7 | G7 | C",
        "| C | Am | F | G7 | C |",
        "|" + 2 * REST + " F4:4 |" + 2 * REST,
    ),
    "turnaround III VI II V": Case(
        "| C | % | % | % |",
        "C | C | E7 A7 | D7 G7",
        "| C | % |",
        "|" + 2 * REST + " A4:2 r:2 |" + REST,
        ending="| C |",
    ),
    "turnaround ♭III ♭VI ♭II": Case(
        FOUR,
        "C | Eb7 | Ab7 | Db7 | C",
        "| C | Am | F | G7 | C |",
        "|" + REST + " E5:4 |" + 3 * REST,
    ),
    "thirteenth in a chain": Case(
        "| A7 | D7 | G |", "A13 | D7 | G", "| G7 | C |", "| G4:4 |" + 2 * REST
    ),
    "ii–V into the next chord": Case(
        "| C | % | Am |", "C | Bm7b5 E7 | Am", "| C | Am |", "|" + REST + " A#4:2 r:2 |" + REST
    ),
    "ii–V into another key": Case(
        "| F | % | Ab | Ab | Db | Eb7 | Ab | Ab |",
        "F | Bbm7 Eb7 | Ab | Ab | Db | Eb7 | Ab | Gm7 C7",
        "| F | % | Bb | C7 |",
        "|" + REST + " B4:2 r:2 |" + 6 * REST,
        key="F",
        ending="| Ab | Ab |",
    ),
    "turnaround I V7": Case(
        "| C | % |", "C | G7", "| C | F |", "|" + REST + " C5:4 |", ending="| C |"
    ),
    "turnaround I ii V7": Case(
        "| C | % |", "C | Dm7 G7", "| C | F |", "|" + REST + " Eb5:2 r:2 |", ending="| C |"
    ),
    "home at the end": Case("| C |", "C | C6", "| G7 | C |", "", ending="| C | G7 |", section="Z"),
    "colour of the tune": Case(
        "| C | A7 | Dm | G7 |",
        "Cmaj7 | A7b9 | Dm | G7sus4",
        "| C | A7 | Dm | G7 |",
        "",
        tune="| B4:4 | Bb4:4 | r:4 | C5:4 |",
    ),
    "v7 I7 into IV": Case(
        "| C | % | F |", "C | Gm7 C7 | F", "| C | F |", "|" + REST + " B4:2 r:2 |" + REST
    ),
    "dominant for a minor chord": Case(
        "| Am | Dm | G7 |", "A7 | Dm | G7", "| Am | F |", "| D5:4 |" + 2 * REST
    ),
    "I ♭III° ii": Case("| C | Dm |", "C/E Ebdim7 | Dm", "| C | F |", "| r:2 G4:2 |" + REST),
    "I I° ii": Case("| C | Dm |", "C Cdim7 | Dm", "| C | F |", "| r:2 E5:2 |" + REST),
    "I I° I": Case(
        "| C | % | Am |", "C | Cdim7 C | Am", "| C | F |", "|" + REST + " E4:2 r:2 |" + REST
    ),
    "climb to the cadence": Case(
        "| F | G7 | C |", "F F#dim7 | C/G G7 | C", "| F | C |", "| r:2 G4:2 |" + 2 * REST
    ),
    "I/5 before V": Case(
        "| F | G7 | C |", "F | C/G G7 | C", "| G7 | Am |", "|" + REST + " F4:2 r:2 |" + REST
    ),
    "ii–V for V–IV": Case(
        "| C7 | % | G7 | F7 | C7 |",
        "C7 | A7 | Dm7 | G7 | C7",
        "| G7 | C |",
        "",
    ),
    "♭VI7 before V7": Case("| Dm | G7 | C |", "Ab7 | G7 | C", "| Dm | C |", "| G4:4 |" + 2 * REST),
    "♭VI7 V7 in minor": Case(
        "| Am | E7 | % | Am |",
        "Am F7 | E7 | E7 | Am",
        "| E7 | % | A |",
        "| r:2 E5:2 |" + 3 * REST,
        key="A minor",
    ),
    "backdoor iv7 ♭VII7": Case(
        "| F | % | C |", "F | Fm7 Bb7 | C", "| F | G7 |", "|" + REST + " A4:2 r:2 |" + REST
    ),
    "iii VI7 into ii": Case(
        "| C | % | Dm |", "C | Em7 A7 | Dm", "| C | F |", "|" + REST + " F4:2 r:2 |" + REST
    ),
    "iii ♭iii ii": Case(
        "| C | % | Dm |", "C | Em7 Ebm7 | Dm", "| C | F |", "|" + REST + " F4:2 r:2 |" + REST
    ),
    "deceptive iii": Case(
        "| G7 | C | Am | Dm |",
        "G7 | Em7 | Am | Dm",
        "| F | C | Am |",
        "|" + REST + " F4:4 |" + 2 * REST,
    ),
    "I Imaj7 I7 into IV": Case(
        "| C | % | F |", "C Cmaj7 | C7 | F", "| C | G7 |", "| r:2 C5:2 |" + 2 * REST
    ),
    "5–♯5–6 line": Case(
        "| C | % | Dm |", "C Caug | C6 | Dm", "| C | Dm |", "| r:2 A4:2 |" + 2 * REST
    ),
    "I/3 into IV": Case("| C | F |", "C C7/E | F", "| C | G7 |", ""),
    "bass walk-down to vi": Case("| C | Am |", "C G/B | Am", "| C | F |", "| r:2 C5:2 |" + REST),
    "ii over the dominant's bass": Case("| Dm | G7 | C |", "Dm7/G | G7 | C", "| Dm | C |", ""),
    "V sus before V": Case("| G7 | C |", "G9sus4 G7 | C", "| G7 | Am |", "| C#5:2 r:2 |" + REST),
    "tonic pedal": Case("| C | F | C | Am |", "C | F/C | C | Am", "| Dm | G7 |", ""),
    "V of V before V": Case(
        "| F | G7 | % | C |", "F | D7 | G7 | C", "| G7 | C |", "|" + REST + " F4:4 |" + 2 * REST
    ),
    "borrowed iiø": Case(
        "| Dm | G7 | C |", "Dm7b5 | G7 | C", "| Dm | G7 | Em |", "| A4:4 |" + 2 * REST
    ),
    "minor descent to V": Case(
        "| Am | % | E7 |",
        "Am | G7 F7 | E7",
        "| Am | Dm |",
        "|" + REST + " C5:2 r:2 |" + REST,
        key="A minor",
    ),
    "♯IV° to I/5": Case(
        "| F | C | Am | Dm |", "F F#dim7 | C/G | Am | Dm", "| F | G7 |", "| r:2 G4:2 |" + 3 * REST
    ),
    "amen ending": Case(
        "| G7 |", "C F6 | Fm6 C6/9", "| C | G7 |", "", ending="| C | % |", section="Z"
    ),
    "chromatic ii–V from above": Case(
        "| C | % | Dm |", "C | Ebm7 Ab7 | Dm", "| C | F |", "|" + REST + " E4:4 |" + REST
    ),
    "ii–V a tritone away": Case("| G7 | C |", "Abm7 Db7 | C", "| G7 | Am |", "| A4:4 |" + REST),
    "minor turns dominant": Case(
        "| Am | Dm | F |", "Am A7 | Dm | F", "| Am | F |", "| r:2 D5:2 |" + 2 * REST
    ),
    "v7 for I before I7 into IV": Case(
        "| C7 | % | F7 |", "Gm7 | C7 | F7", "| C7 | F7 |", "| B4:4 |" + 2 * REST
    ),
    "I IV7 iii VI7 into ii": Case(
        "| C | % | Dm |", "C F7 | Em7 A7 | Dm", "| C | Dm |", "| r:2 E4:2 |" + 2 * REST
    ),
    "dominants down to VI": Case(
        "| C7 | % | Dm7 |", "C7 B7 | Bb7 A7 | Dm7", "| C7 | F7 |", "| r:2 C5:2 |" + 2 * REST
    ),
    "VII7 into I": Case("| F7 | C7 |", "F7 B7 | C7", "| F7 | G7 |", "| r:2 G4:2 |" + REST),
    "♯iv7 VII7 into I": Case(
        "| F7 | % | C7 |", "F7 | F#m7 B7 | C7", "| F7 | C7 |", "|" + REST + " G4:2 r:2 |" + REST
    ),
    "iii for I": Case(
        "| F | C Am7 | Dm7 |", "F | Em7 Am7 | Dm7", "| C | Dm |", "|" + REST + " F4:2 r:2 |" + REST
    ),
    "IV for ii": Case("| Dm7 | G7 |", "Fmaj7 | G7", "| Dm7 | C |", "| F4:4 |" + REST),
    "iii VI7 ii V over V": Case(
        "| F | G7 | % | C |",
        "F | Em7 A7 | Dm7 G7 | C",
        "| G7 | C |",
        "|" + REST + " F4:2 r:2 |" + 2 * REST,
    ),
    "dominants down to I over V": Case(
        "| F | G7 | % | C |",
        "F | E7 Eb7 | D7 Db7 | C",
        "| G7 | C |",
        "|" + REST + " C5:2 r:2 |" + 2 * REST,
    ),
    "chromatic ii–V over V": Case(
        "| F | G7 | % | C |",
        "F | Ebm7 Ab7 | Dm7 G7 | C",
        "| G7 | C |",
        "|" + REST + " E4:2 r:2 |" + 2 * REST,
    ),
    "♯II° for V": Case(
        "| Dm | G7 | C |", "Dm | D#dim7 | C", "| G7 | C |", "|" + REST + " G4:4 |" + REST
    ),
    "♭VII7 for IV": Case("| F | C |", "Bb7 | C", "| F | G7 |", "| A4:4 |" + REST),
    "♭VI ♭VII7 I": Case("| Dm | G7 | C |", "Abmaj7 | Bb7 | C", "| G7 | C |", "| A4:4 |" + 2 * REST),
    "♭IImaj7 for V": Case("| G7 | C |", "Dbmaj7 | C", "| G7 | Am |", "| D5:4 |" + REST),
    "a dominant's own V": Case(
        "| C | D7 | G7 |", "C | A7 D7 | G7", "| C | D7 | F |", "|" + REST + " F4:2 r:2 |" + REST
    ),
    "turnaround I7 ♯I° ii V7": Case(
        "| C7 | G7 |", "C7 C#dim7 | Dm7 G7", "| C | F |", "| r:2 D5:2 |" + REST, ending="| C7 |"
    ),
    "ii of a substitute": Case("| Db7 | C |", "Abm7 Db7 | C", "| G7 | C |", "| A4:4 |" + REST),
    "V7♭9 into major": Case("| G7 | C |", "G7b9 | C", "| G7 | Am |", "| A4:4 |" + REST),
    "♯V° for V": Case(
        "| Dm7 | G7 | C |", "Dm7 | G#dim7 | C", "| G7 | Am |", "|" + REST + " A4:4 |" + REST
    ),
    "viiø for V": Case(
        "| Dm | G7 | C |", "Dm | Bm7b5 | C", "| G7 | Am |", "|" + REST + " C5:4 |" + REST
    ),
    "I V7 I": Case(
        "| C | % | % | F |", "C | G7 | C | F", "| C | F |", "|" + REST + " C5:4 |" + 2 * REST
    ),
    "vi for I": Case(
        "| G7 | C | Dm | G7 |",
        "G7 | Am7 | Dm | G7",
        "| C | Dm |",
        "|" + REST + " Bb4:4 |" + 2 * REST,
    ),
    "VI7 or III7 before IV": Case(
        "| C | Am | F |", "C | A7 | F", "| C | Am | Dm |", "|" + REST + " D5:4 |" + REST
    ),
    "♭III7 into ii": Case("| C | Dm7 |", "C Eb7 | Dm7", "| C | F |", "| r:2 E4:2 |" + REST),
    "ii ♭II7 for V": Case(
        "| F | G7 | % | C |",
        "F | Dm7 | Db7 | C",
        "| G7 | Am |",
        "|" + 2 * REST + " D5:4 |" + REST,
    ),
    "tritone ii–Vs over V": Case(
        "| F | G7 | % | C |",
        "F | Bbm7 Eb7 | Abm7 Db7 | C",
        "| G7 | C |",
        "|" + REST + " B4:2 r:2 |" + 2 * REST,
    ),
    "ii–Vs down to ii": Case(
        "| F7 | C7 | % | Dm7 | G7 |",
        "F7 | Em7 A7 | Ebm7 Ab7 | Dm7 | G7",
        "| C7 | Dm7 |",
        "|" + REST + " F4:2 r:2 |" + 3 * REST,
    ),
    "chain of ii–Vs into IV": Case(
        "| C | % | % | % | F |",
        "C | Bm7b5 E7 | Am7 D7 | Gm7 C7 | F",
        "| C | % | F |",
        "|" + REST + " C5:2 r:2 |" + 3 * REST,
    ),
    "walk up to I/3": Case(
        "| C | % | F |", "C Dm7 | D#dim7 C/E | F", "| C | F |", "| r:2 Eb4:2 |" + 2 * REST
    ),
    "diatonic passing chord": Case(
        "| C | Em7 |", "C Dm7 | Em7", "| C | Am7 |", "| r:2 Bb4:2 |" + REST
    ),
    "diminished into the next chord": Case(
        "| C | Am7 |", "C G#dim7 | Am7", "| C | F |", "| r:2 A4:2 |" + REST
    ),
    "minor iv for ii": Case(
        "| Dm7 | G7 | C |", "Dm7 Fm7 | G7 | C", "| Dm7 | C |", "| A4:4 |" + 2 * REST
    ),
    "V7 before I": Case("| Fm | C |", "Fm G7 | C", "| Fm | G7 |", "| r:2 C5:2 |" + REST),
    "I IV I": Case(
        "| C | % | % |", "C | Fmaj7 | C", "| Am | % | % |", "|" + REST + " F#4:4 |" + REST
    ),
    "III° into IV": Case("| C | F |", "C Edim7 | F", "| C | G7 |", "| r:2 B4:2 |" + REST),
    "iii down to I": Case(
        "| Em7 Am7 | Dm7 G7 | C |",
        "Em7 Eb7 | Dm7 Db7 | C",
        "| Em7 | F |",
        "| r:2 E4:2 |" + 2 * REST,
    ),
    "VII7 or ♭VII7 on the way to ii": Case(
        "| C | % | Dm7 |", "C B7 | Em7 A7 | Dm7", "| C | Dm7 |", "| r:2 E4:2 |" + 2 * REST
    ),
    "climb to I/5 and VI7": Case(
        "| F | C | Dm | G7 |",
        "F F#dim7 | C/G A7 | Dm | G7",
        "| F | C | F |",
        "| r:2 G4:2 |" + 3 * REST,
    ),
    "turnaround ♭III ♭VI ♭II in major sevenths": Case(
        FOUR,
        "C | Ebmaj7 | Abmaj7 | Dbmaj7 | C",
        "| C | Am | F | G7 | C |",
        "|" + 2 * REST + " A4:4 |" + 2 * REST,
    ),
    "turnaround I vi ♭VI7 V7": Case(
        FOUR,
        "C | Am7 | Ab7 | G7 | C",
        "| C | Am | F | G7 | C |",
        "|" + 2 * REST + " G4:4 |" + 2 * REST,
    ),
    "turnaround i ♭VI iiø V7": Case(
        "| Am | F#m7b5 | Bm7b5 | E7 | Am |",
        "Am | Fmaj7 | Bm7b5 | E7b9 | Am",
        "| Am | Dm | E7 | Am |",
        "|" + REST + " F4:4 |" + 3 * REST,
        key="A minor",
    ),
    "turnaround I IV I V": Case(
        "| C7 | G7 |", "C7 F7 | C7 G7", "| C | F |", "| r:2 E4:2 |" + REST, ending="| C7 |"
    ),
    "secondary dominant in a bar of its own": Case(
        "| C | % | Am |", "C | E7 | Am", "| C | Am |", "| r:4 | C5:4 | r:4 |"
    ),
    "minor iv in a bar of its own": Case(
        "| F | % | C |", "F | Fm6 | C", "| F | C |", "| r:4 | A5:4 | r:4 |"
    ),
    "out to V and back": Case(
        "| Dm | % | G7 |", "Dm | A7b9 Dm | G7", "| Dm | G7 |", "| r:4 | D5:4 | r:4 |"
    ),
    "out to ii–V and back": Case(
        "| C | % | % |", "C | Dm7 G7 | C", "| C | F |", "| r:4 | Db5:4 | r:4 |"
    ),
    "iiø–V for iv": Case("| Fm | C |", "Dm7b5 G7 | C", "| F | C |", "| Eb5:4 | r:4 |"),
    "II7 for IV": Case("| F | G7 |", "F D7 | G7", "| F | C |", "| r:2 F5:2 | r:4 |"),
    "each dominant with its own ii": Case(
        "| D7 | % | G7 | % | C |",
        "Am7 | D7 | Dm7 | G7 | C",
        "| D7 | C |",
        "| Ab4:4 | r:4 | r:4 | r:4 | r:4 |",
    ),
    "ii–V again a semitone lower": Case(
        "| Em7 | % | A7 | % | Dm7 |",
        "Em7 | A7 | Ebm7 | Ab7 | Dm7",
        "| Em7 | Dm7 |",
        "| r:4 | r:4 | E5:4 | r:4 | r:4 |",
    ),
    "V grows an alteration": Case("| G7 | C |", "G7 G7b9 | C", "| C | Am |", "| r:2 A4:2 | r:4 |"),
    "deceptive cadence": Case("| G7 | C |", "G7 | Abmaj7", "| F | C |", "| r:4 | E5:4 |"),
    "line over a minor chord": Case(
        "| Dm | % | G7 |", "Dm DmMaj7 | Dm7 | G7", "| Dm | C |", "| r:2 C5:2 | r:4 | r:4 |"
    ),
    "down to ii by way of iii": Case(
        "| C | % | Dm7 |", "C | Em7 Ebdim7 | Dm7", "| C | F |", "| r:4 | F5:2 r:2 | r:4 |"
    ),
    "dominants a semitone above the dominant": Case(
        "| C7 | % | F7 |", "C7 | Db7 C7 | F7", "| C | Am |", "| r:4 | C5:2 r:2 | r:4 |"
    ),
    "back door from IV": Case("| F | % | C |", "F | Bb7 | C", "| F | G7 |", "| r:4 | B4:4 | r:4 |"),
    "dominant of any chord": Case("| F | Em7 |", "F B7 | Em7", "| C | F#dim7 |", "| D5:4 | r:4 |"),
    "tritone dominant of any chord": Case(
        "| F | Em7 |", "F7 | Em7", "| C | F#dim7 |", "| E5:4 | r:4 |"
    ),
    "diminished beside any chord": Case(
        "| F | Em7 |", "F D#dim7 | Em7", "| C | F#dim7 |", "| Db5:4 | r:4 |"
    ),
    "slid in from a semitone": Case(
        "| F7 | C7 |", "Gb7 F7 | Db7 C7", "| C | % | % |", "| D5:4 | r:4 |"
    ),
    "back door of any major chord": Case(
        "| Am | F |", "Am Bbm6 | F", "| Am | Dm |", "| D5:4 | r:4 |"
    ),
    "late by its own way in": Case("| C |", "Cdim7 C", "| C | % | % |", "| Db5:4 |"),
    "a third away": Case("| C | F | C |", "C Am7 | Dm7 | Em7", "| D7 |", "| Db5:4 | r:4 | r:4 |"),
    "in a dominant's place": Case(
        "| C | F7 | C |", "C | B7 | C", "| C | F | C |", "| r:4 | C5:4 | r:4 |"
    ),
    "borrowed from the other mode": Case(
        "| C7 | Dm7 | C7 |", "C7 | Fm7 | C7", "| D7 |", "| r:4 | Db5:4 | r:4 |"
    ),
    "another quality": Case("| Em7 | F |", "E7 | F7", "| Cdim7 |", "| C5:4 | r:4 |"),
    "on another note in the bass": Case("| C | F | C |", "C/E | F F/A | C/E", "| D7 |", ""),
    "two bars of fifths into any chord": Case(
        "| F | % | C |", "E7 Eb7 | D7 Db7 | C", "| F | C |", "| C5:4 | r:4 | r:4 |"
    ),
    "each by its own way in": Case(
        "| C | Em7 | Dm7 |", "C Fdim7 | Em7 Ebdim7 | Dm7", "| C | Em7 |", "| C5:4 | r:4 | r:4 |"
    ),
    "turnaround from further away": Case(
        "| C A7 | Dm7 G7 | C |",
        "C Ebm7 | Dm7 Db7 | C",
        "| C A7 | Dm7 | C |",
        "| C5:4 | r:4 | r:4 |",
    ),
    "up the scale and back": Case("| C | C |", "C | Dm7 C/E", "| F | F |", "| r:4 | Db5:4 |"),
    "ending tag": Case(
        "| G7 |",
        "C C7 | F6 F#dim7 | C/G G7 | C",
        "| C | % | % | % |",
        "",
        ending="| C | % | % | % |",
        section="Z",
    ),
}
