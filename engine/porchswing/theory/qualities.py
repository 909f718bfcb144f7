"""The table of chord qualities: suffix, formula, family and the spellings charts print.

Each row of :data:`ROWS` is one kind of chord with its canonical ASCII suffix. Every other
chord is composed: a row plus alterations (``7`` with ``#5`` and ``b9``), and its canonical
suffix is worked out from its degrees alone, so that one chord has one name whichever way
it was written.

Conventions. Formulas follow the kinds of MusicXML 4.0 (W3C, data type ``kind-value``), with
one exception that is common practice among chart readers: a major or dominant thirteenth
leaves the eleventh out, because it lies a semitone above the third. ``{T}``, ``{M}``,
``{m}``, ``{o}`` and ``{+}`` in a spelling stand for any word in :data:`WORDS`. Spellings
beyond the standard are common practice (no source).
"""

from __future__ import annotations

from functools import cache

from porchswing.theory.chords import Quality
from porchswing.theory.notes import Degree, formula

WORDS: dict[str, tuple[str, ...]] = {
    "{T}": ("maj", "Maj", "MAJ", "major", "ma", "Ma", "MA", "M"),
    "{M}": ("maj", "Maj", "MAJ", "major", "ma", "Ma", "MA", "M", "j", "^"),
    "{m}": ("m", "min", "Min", "MIN", "minor", "mi", "Mi", "MI", "-"),
    "{o}": ("dim", "Dim", "DIM", "o"),
    "{+}": ("aug", "Aug", "AUG", "+"),
}
"""Words and signs for a major triad, major, minor, diminished and augmented, already folded:
a triangle alone is a major seventh, so it is no word for the triad."""

FOLDED = str.maketrans(
    {
        "♭": "b",
        "♯": "#",
        "Δ": "^",
        "∆": "^",
        "△": "^",
        "ø": "h",
        "Ø": "h",
        "⌀": "h",
        "°": "o",
        "º": "o",
        "˚": "o",
        "−": "-",
        "–": "-",
        "＋": "+",
        "⁺": "+",
    }
)
"""Signs of printed charts, each to the one ASCII character the tables use (lengths keep)."""

# canonical suffix, formula, family, other spellings
ROWS: tuple[tuple[str, str, str, str], ...] = (
    ("", "1 3 5", "major", "{T}"),
    ("m", "1 b3 5", "minor", "{m}"),
    ("7", "1 3 5 b7", "dominant", "dom7 dom"),
    ("maj7", "1 3 5 7", "major", "{M}7 ^ j {M}(7)"),
    ("m7", "1 b3 5 b7", "minor", "{m}7"),
    ("6", "1 3 5 6", "major", "{M}6 add6"),
    ("m6", "1 b3 5 6", "minor", "{m}6 {m}add6"),
    ("6/9", "1 3 5 6 9", "major", "69 6add9 {M}6/9 {M}69 6(9) 6(add9)"),
    ("m6/9", "1 b3 5 6 9", "minor", "{m}6/9 {m}69 {m}6add9 {m}6(9)"),
    ("9", "1 3 5 b7 9", "dominant", "dom9 7(9) 7add9 7(add9)"),
    ("maj9", "1 3 5 7 9", "major", "{M}9 {M}7(9) ^7(9)"),
    ("m9", "1 b3 5 b7 9", "minor", "{m}9 {m}7(9)"),
    ("11", "1 3 5 b7 9 11", "dominant", "dom11"),
    ("maj11", "1 3 5 7 9 11", "major", "{M}11"),
    ("m11", "1 b3 5 b7 9 11", "minor", "{m}11"),
    ("13", "1 3 5 b7 9 13", "dominant", "dom13"),
    ("maj13", "1 3 5 7 9 13", "major", "{M}13"),
    ("m13", "1 b3 5 b7 9 11 13", "minor", "{m}13"),
    ("mMaj7", "1 b3 5 7", "minor", "{m}{M}7 {m}({M}7) {m}/{M}7 {m}#7 {m}(#7)"),
    ("mMaj9", "1 b3 5 7 9", "minor", "{m}{M}9 {m}({M}9) {m}/{M}9 {m}9({M}7)"),
    ("m7b5", "1 b3 b5 b7", "half-diminished", "h h7 {m}7b5 {m}7(b5) hdim hdim7"),
    ("m9b5", "1 b3 b5 b7 9", "half-diminished", "h9 {m}9b5"),
    ("dim", "1 b3 b5", "diminished", "{o}"),
    ("dim7", "1 b3 b5 bb7", "diminished", "{o}7"),
    ("dimMaj7", "1 b3 b5 7", "diminished", "{o}{M}7 {o}({M}7)"),
    ("aug", "1 3 #5", "augmented", "{+} +5"),
    ("7#5", "1 3 #5 b7", "dominant", "{+}7 7aug"),
    ("9#5", "1 3 #5 b7 9", "dominant", "{+}9 9aug"),
    ("maj7#5", "1 3 #5 7", "augmented", "{+}{M}7 {+}({M}7)"),
    ("sus4", "1 4 5", "suspended", "sus"),
    ("sus2", "1 2 5", "suspended", ""),
    ("7sus4", "1 4 5 b7", "suspended", "7sus sus7 sus47 7(sus4) 7(sus)"),
    ("7sus2", "1 2 5 b7", "suspended", "7(sus2)"),
    ("9sus4", "1 4 5 b7 9", "suspended", "9sus sus9 9(sus4) 9(sus)"),
    ("13sus4", "1 4 5 b7 9 13", "suspended", "13sus 13(sus4) 13(sus)"),
    ("7b5", "1 3 b5 b7", "dominant", ""),
    ("7b9", "1 3 5 b7 b9", "dominant", ""),
    ("7#9", "1 3 5 b7 #9", "dominant", ""),
    ("7alt", "1 3 b7 b9 #9 #11 b13", "dominant", "alt 7(alt)"),
    ("add9", "1 3 5 9", "major", "2 add2 {M}add9 {M}add2"),
    ("madd9", "1 b3 5 9", "minor", "{m}add9 {m}2 {m}add2"),
    ("mb6", "1 b3 5 b6", "minor", "{m}b6"),
    ("5", "1 5", "power", ""),
)

# what may follow a row: spelling, what it does, the degree it does it with
ALTERATIONS: tuple[tuple[str, str, str], ...] = (
    ("b5", "alter", "b5"),
    ("-5", "alter", "b5"),
    ("#5", "alter", "#5"),
    ("+5", "alter", "#5"),
    ("+", "alter", "#5"),
    ("b9", "alter", "b9"),
    ("-9", "alter", "b9"),
    ("#9", "alter", "#9"),
    ("+9", "alter", "#9"),
    ("#11", "alter", "#11"),
    ("+11", "alter", "#11"),
    ("#4", "alter", "#11"),
    ("b13", "alter", "b13"),
    ("-13", "alter", "b13"),
    ("b6", "alter", "b13"),
    ("#13", "alter", "#13"),
    ("6", "add", "6"),
    ("9", "add", "9"),
    ("11", "add", "11"),
    ("13", "add", "13"),
    ("add2", "add", "9"),
    ("add4", "add", "11"),
    ("add6", "add", "6"),
    ("add9", "add", "9"),
    ("add11", "add", "11"),
    ("add13", "add", "13"),
    ("addb9", "alter", "b9"),
    ("add#9", "alter", "#9"),
    ("add#11", "alter", "#11"),
    ("addb13", "alter", "b13"),
    ("add#13", "alter", "#13"),
    ("sus", "suspend", "4"),
    ("sus4", "suspend", "4"),
    ("sus2", "suspend", "2"),
    ("no3", "omit", "3"),
    ("omit3", "omit", "3"),
    ("no5", "omit", "5"),
    ("omit5", "omit", "5"),
)


QUALITIES: dict[str, Quality] = {
    suffix: Quality(suffix, formula(degrees), family) for suffix, degrees, family, _ in ROWS
}
"""The rows by canonical suffix."""


@cache
def spellings() -> dict[str, Quality]:
    """Return every spelling of every row, ``{M}`` and its like written out."""
    found: dict[str, Quality] = {}
    for suffix, _, _, others in ROWS:
        for spelling in (suffix, *others.split()):
            for text in _written_out(spelling):
                found.setdefault(text, QUALITIES[suffix])
    return found


def _written_out(spelling: str) -> list[str]:
    """Return a spelling with each placeholder replaced by each of its words."""
    texts = [spelling]
    for name, words in WORDS.items():
        if name in spelling:
            texts = [text.replace(name, word) for text in texts for word in words]
    return texts


@cache
def alterations() -> dict[str, tuple[str, Degree]]:
    """Return every alteration by its spelling."""
    return {spelling: (deed, Degree.parse(degree)) for spelling, deed, degree in ALTERATIONS}


def altered(degrees: frozenset[Degree], deed: str, degree: Degree) -> frozenset[Degree]:
    """Return a formula after one alteration: ``alter``, ``add``, ``suspend`` or ``omit``."""
    thirds = {Degree(3), Degree(3, -1)}
    if deed == "alter":
        return (degrees - {Degree(degree.number)}) | {degree}
    if deed == "add":
        # with a seventh an added sixth is a thirteenth
        is_thirteenth = degree == Degree(6) and any(d.number == 7 for d in degrees)
        return degrees | {Degree(13) if is_thirteenth else degree}
    if deed == "suspend":
        return (degrees - thirds) | {degree}
    gone = thirds if degree.number == 3 else {d for d in degrees if d.number == degree.number}
    return degrees - gone


@cache
def quality_of(degrees: frozenset[Degree]) -> Quality:
    """Return the quality with exactly these degrees, its suffix worked out.

    The suffix is that of the row which needs the fewest alterations, then the shortest.

    >>> quality_of(frozenset(formula("1 3 #5 b7 b9"))).suffix
    '7#5b9'
    """
    ways = [
        (steps, row.suffix + _joined(row.suffix, steps), row)
        for row in QUALITIES.values()
        if (steps := _steps(frozenset(row.degrees), degrees)) is not None
    ]
    if not ways:
        words = " ".join(map(str, sorted(degrees)))
        raise ValueError(f"no chord symbol can say the degrees {words}")
    steps, suffix, row = min(ways, key=lambda way: (len(way[0]), len(way[1])))
    if not steps:
        return row
    is_suspended = any(step.startswith("sus") for step in steps)
    ordered = tuple(sorted(degrees, key=lambda d: (d.semitones, d.number)))
    return Quality(suffix, ordered, "suspended" if is_suspended else row.family)


def _joined(suffix: str, steps: list[str]) -> str:
    """Return a suffix with its alterations, in brackets where they would touch the root's sign."""
    text = "".join(steps)
    return f"({','.join(steps)})" if not suffix and text[:1] in ("b", "#") else text


def _steps(start: frozenset[Degree], goal: frozenset[Degree]) -> list[str] | None:
    """Return the alterations that lead from a row's degrees to others, if there are any."""
    has_seventh = any(degree.number == 7 for degree in start)
    gone = set(start - goal)
    steps: list[str] = []
    for degree in sorted(goal - start):
        number, alter = degree.number, degree.alter
        if number in (2, 4) and not alter:
            thirds = {d for d in gone if d.number == 3}
            if not thirds and not steps:
                return None
            gone -= thirds
            steps.append(f"sus{number}")
        elif alter and number in (5, 9, 11, 13):
            if Degree(number) in goal:
                return None
            natural = Degree(number) in start
            gone.discard(Degree(number))
            steps.append(f"{degree}" if natural or has_seventh or number == 5 else f"add{degree}")
        elif not alter and number in (6, 9, 11, 13):
            if number == 6 and has_seventh:
                return None
            steps.append(f"add{number}")
        else:
            return None
    for degree in sorted(gone):
        if degree.number not in (3, 5):
            return None
        steps.append(f"no{degree.number}")
    known = alterations()
    reached = start
    for step in steps:
        reached = altered(reached, *known[step])
    return steps if reached == goal else None
