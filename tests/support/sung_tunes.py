"""Three tunes of our own with words: two verses, held notes, and words without a melody."""

from __future__ import annotations

PORCH_LIGHT = """\
title:  Porch Light
key:    F
form:   A A B

[A]
plain   | F | Dm | Gm C7 | Bb C7 |
melody  | A4:1 C5:1 A4:2 | G4:1 G4:1 r:1 C4:1 | A4:4 | Bb4:2 A4:1 G4:1 |
words   | Lan-tern street | I'm walk-ing | home _ | o- _ ver |
words 2 | Moth up high | come to~the | light | _ now |

[B]
plain | Bb | F | C7 | F |
words | * * Walk on | walk once a-gain, and | sing _ it _ | home |
"""

BRAMBLE_WALTZ = """\
title:  Bramble Waltz
key:    G
meter:  3/4

[A]
plain  | G | Em | Am D7 / | G |
melody | G4:1 A4:1 B4:1 | B4:2 A4:1 | C5:0.5 B4:0.5 A4:1 r:1 | G4:3 |
words  | Bram-bles and | ros- es | grow _ wild | there |
"""

RAIN_GAUGE = """\
title:  Rain Gauge
key:    C minor
meter:  6/8

[A]
plain   | Cm | Fm | G7 | Cm |
words   | あめ が | ふる | * よる | に |
words 2 | дождь и-дёт | нот-ный | * день | _ |
words 3 | שיר של | גשם | * יום | טוב |
"""

SUNG = {"porch light": PORCH_LIGHT, "bramble waltz": BRAMBLE_WALTZ, "rain gauge": RAIN_GAUGE}
