"""Charts of the trade's form types, own titles and chords: what the lanes are read on."""

from __future__ import annotations

FORM_TYPES: dict[str, str] = {
    "rhythm": """
title: Gravel and Gravy
key: Bb
tempo: 168
form: A A B A
[A]
| Bb Gm | Cm F7 | Bb Gm | Cm F7 |
| Bb Bb7 | Eb Ebm | Bb F7 | Bb |
[B]
| D7 | % | G7 | % | C7 | % | F7 | % |
""",
    "circle of dominants": """
title: Barn Door Rag
key: C
tempo: 196
strum: two_beat
[A]
| C | % | A7 | % | D7 | % | G7 | % |
| C | E7 | A7 | % | D7 | G7 | C | % |
""",
    "blues": """
title: Cold Biscuit
key: F
tempo: 132
[Blues]
| F7 | % | % | % | Bb7 | % | F7 | % | C7 | Bb7 | F7 | C7 |
""",
    "minor blues": """
title: Tin Bucket Moon
key: C minor
tempo: 120
[Blues]
| Cm | % | % | % | Fm | % | Cm | % | G7 | Fm | Cm | G7 |
""",
    "minor vamp": """
title: Lantern Cat
key: A minor
tempo: 144
[A]
| Am | Dm | E7 | Am | Am | Dm | E7 | Am |
[B]
| Dm | Am | E7 | Am | Dm | Am | B7 | E7 |
""",
    "ballad": """
title: Letters Never Sent
key: Eb
tempo: 66
form: A A B A
[A]
| Eb | Cm | Fm | Bb7 | Gm | Cm | Fm Bb7 | Eb |
[B]
| Ab | Abm | Eb | C7 | Fm | C7 | F7 | Bb7 |
""",
    "waltz": """
title: Willow Chair
key: G
meter: 3/4
tempo: 116
strum: waltz
[A]
| G | % | C | % | D7 | % | G | % |
| Em | % | Am | % | D7 | % | G | % |
""",
    "bossa": """
title: Paper Boats
key: D
tempo: 126
strum: bossa
[A]
| D | % | Bm | % | Em | % | A7 | % |
| F#m | B7 | Em | A7 | D | B7 | Em A7 | D |
""",
    "verse with slash basses": """
title: Back Step Verse
key: C
tempo: 112
[Verse]
| C C/B | Am Am/G | F F/E | Dm G7 | C/E | F | C/G G7 | C |
""",
    "key change": """
title: Two Rooms
key: F
tempo: 120
form: A B A
[A]
| F | Dm | Gm | C7 | F | Dm | Gm C7 | F |
[B]
| Ab | Fm | Bbm | Eb7 | Ab | Fm | Bbm Eb7 | C7 |
""",
    "eight bars": """
title: Short Shrift
key: C
tempo: 108
[A]
| C | E7 | F | F | C | G7 | C | G7 |
""",
    "island vamp": """
title: Pineapple Crate
key: F
tempo: 104
strum: island
[A]
| F | Bb | C7 | F | F | Bb | C7 | F |
""",
}
"""The charts by form type."""
