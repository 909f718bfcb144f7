"""Roman numerals: what each chord does in its local key.

A capital numeral is a major or dominant chord, a small one minor or diminished. Degrees count
along the key's own scale, so that III of A minor is C; a sign raises or lowers that degree. A
chord borrowed from the way to another is named by its goal after a slash: ``V7/ii``,
``iiø7/vi``, ``subV7/V`` (the dominant a tritone off). Checked against music21; the words for
what a chord does are common practice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from porchswing.chart.model import Chart, Section, Slot
from porchswing.chart.unroll import is_last_time, unroll
from porchswing.harmony.passage.flow import BarId, flow_of
from porchswing.harmony.passage.keyfinder import Heard, find_keys
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, degree_between
from porchswing.theory.notes import NoteName

NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_STRANGE = frozenset({(1, -1), (4, -1), (3, 1), (7, 1), (5, 1), (6, 1), (2, 1), (1, 1)})
"""Degrees, as number and sign, that are but a simpler spelling of another one."""
TRITONE = 6
"""A dominant so many semitones above the tonic is ♭V, however it is spelled: it slides to IV."""
_NUMBERS = ("1", "2", "3", "4", "5", "6", "7")
_SMALL = ("minor", "half-diminished", "diminished")
_SUFFIX = {"m7b5": "ø7", "m9b5": "ø9", "dim7": "°7", "dim": "°", "aug": "+", "mMaj7": "maj7"}
_TWO = {"major": "minor", "minor": "half-diminished"}
_DIATONIC = {
    "major": {2: "minor", 4: "minor", 5: "major", 7: "major", 9: "minor"},
    "minor": {3: "major", 5: "minor", 7: "minor", 8: "major", 10: "major"},
}


_ROLES: dict[str, dict[tuple[int, str], str]] = {
    "major": {
        (0, "major"): "tonic", (2, "minor"): "subdominant", (4, "minor"): "tonic",
        (5, "major"): "subdominant", (5, "minor"): "minor iv", (7, "major"): "dominant",
        (7, "suspended"): "dominant", (7, "augmented"): "dominant", (9, "minor"): "tonic",
        (11, "half-diminished"): "dominant", (11, "diminished"): "dominant",
    },
    "minor": {
        (0, "minor"): "tonic", (2, "half-diminished"): "subdominant", (3, "major"): "tonic",
        (5, "minor"): "subdominant", (7, "major"): "dominant", (7, "minor"): "dominant",
        (8, "major"): "subdominant", (10, "major"): "subdominant",
        (11, "diminished"): "dominant", (7, "suspended"): "dominant",
    },
}  # fmt: skip
"""What a chord that is no dominant does, by mode, semitones above the tonic, and family."""


class HeardChord(NamedTuple):
    """One chord as it is heard: its ``numeral``, its ``role`` in words, and its local ``key``."""

    numeral: str
    role: str
    key: Key


class ReadSlot(NamedTuple):
    """One slot of one written bar (from 1) with its reading; ``None`` under N.C."""

    section: str
    bar: int
    slot: int
    chord: Chord | None
    reading: HeardChord | None


def numeral(chord: Chord, key: Key) -> str:
    """Return a chord's numeral in a key, the slash bass left out; see :func:`over_bass`.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> [numeral(read(name), Key.parse("F")) for name in ("F6", "Gm7", "C9", "F#dim7", "Em7b5")]
    ['I6', 'ii7', 'V9', '#i°7', 'viiø7']
    """
    suffix = chord.quality.suffix
    small = chord.quality.family in _SMALL
    shown = _SUFFIX.get(suffix, suffix.removeprefix("m") if small else suffix)
    root = chord.root
    if chord.quality.family == "dominant" and (root.pc - key.tonic.pc) % 12 == TRITONE:
        return f"bV{shown}"
    if chord.quality.family != "diminished":
        root = _as_usual(root, key)
    return _degree(root, key, small=small) + shown


def _as_usual(root: NoteName, key: Key) -> NoteName:
    """Return a root as the degrees of a key are usually written: ♭II for E in E flat."""
    degree = degree_between(key.tonic, root)
    return key.spell(root.pc) if (degree.number, degree.alter) in _STRANGE else root


def over_bass(chord: Chord, key: Key) -> str:
    """Return the slash bass as a degree of the key, an empty text where there is none.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> over_bass(read("F/C"), Key.parse("F")), over_bass(read("F6"), Key.parse("F"))
    ('/5', '')
    """
    if chord.bass is None or chord.bass.pc == chord.root.pc:
        return ""
    return f"/{_degree(chord.bass, key, small=False, names=_NUMBERS)}"


def _degree(root: NoteName, key: Key, *, small: bool, names: Sequence[str] = NUMERALS) -> str:
    degree = degree_between(key.tonic, root)
    natural = degree_between(key.tonic, key.scale[degree.number - 1])
    alter = degree.alter - natural.alter
    sign = "#" * alter if alter > 0 else "b" * -alter
    name = names[degree.number - 1]
    return sign + (name.lower() if small else name)


@lru_cache(maxsize=4096)
def read_chord(chord: Chord, key: Key, after: Chord | None = None) -> HeardChord:
    """Read one chord in a key, with the chord after it.

    >>> from porchswing.theory.symbols import parse_chord as read
    >>> read_chord(read("A7"), Key.parse("C"), read("Dm7"))
    HeardChord(numeral='V7/ii', role='secondary dominant', key=Key(tonic=NoteName(letter='C', \
alter=0), mode='major'))
    """
    family = chord.quality.family
    place = (chord.root.pc - key.tonic.pc) % 12
    step = (chord.root.pc - after.root.pc) % 12 if after else None
    if family == "dominant":
        if place == 2 and after and after.quality.family == "diminished" and step == 3:
            step = 7  # VII diminished is V with a flat nine and without its root
        return HeardChord(*_dominant(chord, key, place, step, after), key)
    if family == "diminished" and place != 11:
        return HeardChord(*_diminished(chord, key, step), key)
    two = step == 7 and family in ("minor", "half-diminished")
    if two and after is not None and after.quality.family == "dominant":
        goal = "" if place == 2 and family == _TWO[key.mode] else _goal(after, key)
        if goal:
            return HeardChord(_two(family, chord) + goal, "related ii", key)
    return HeardChord(numeral(chord, key), _ROLES[key.mode].get((place, family), "borrowed"), key)


def _diminished(chord: Chord, key: Key, step: int | None) -> tuple[str, str]:
    """Return numeral and role of a diminished chord: raised where it climbs, flat where it falls.

    Its spelling may be simpler than its way: in F sharp, sharp I is written G.
    """
    suffix = _SUFFIX.get(chord.quality.suffix, chord.quality.suffix)
    for sign, semitones in (("#", -1), ("b", 1)):
        beside = key.spell(chord.root.pc + semitones)
        if step == semitones % 12 and beside in key.scale:
            return f"{sign}{_degree(beside, key, small=True)}{suffix}", "passing diminished"
    passing = (chord.root.pc - key.tonic.pc) % 12 == 6
    return numeral(chord, key), "passing diminished" if passing else "diminished"


def _two(family: str, chord: Chord) -> str:
    suffix = chord.quality.suffix
    return "ii" + _SUFFIX.get(suffix, suffix.removeprefix("m"))


def _goal(dominant: Chord, key: Key) -> str:
    """Return ``/vi`` and the like for the diatonic chord a fifth below a dominant."""
    goal = (dominant.root.pc + 5 - key.tonic.pc) % 12
    family = _DIATONIC[key.mode].get(goal)
    if family is None:
        return ""
    number = next(n for n, note in enumerate(key.scale) if (note.pc - key.tonic.pc) % 12 == goal)
    name = NUMERALS[number]
    return "/" + (name.lower() if family == "minor" else name)


def _dominant(
    chord: Chord, key: Key, place: int, step: int | None, after: Chord | None
) -> tuple[str, str]:
    """Return numeral and role of a dominant seventh and its kin."""
    own, suffix = numeral(chord, key), chord.quality.suffix
    if place == 7:
        return own, "dominant"
    if step == 1 and after is not None:
        if after.root.pc == key.tonic.pc:
            return f"subV{suffix}", "tritone substitute"
        target = _goal(Chord(key.spell(after.root.pc + 7), chord.quality), key)
        if target:
            return f"subV{suffix}{target}", "tritone substitute"
    if place == 10 and after is not None and after.root.pc == key.tonic.pc and key.mode == "major":
        return own, "backdoor dominant"
    blues = step != 7 or (after is not None and after.quality.family == "dominant")
    if place in (0, 5) and blues:
        return own, "blues tonic" if place == 0 else "blues subdominant"
    goal = _goal(chord, key)
    chained = after is not None and after.quality.family == "dominant"
    if goal and (step == 7 or step is None or (step == 1 and chained)):
        return f"V{suffix}{goal}", "extended dominant" if chained else "secondary dominant"
    return own, "dominant, unresolved" if step != 7 else "extended dominant"


def read_chart_roman(chart: Chart, lane: str = "plain") -> tuple[ReadSlot, ...]:
    """Read every written slot of a lane, section by section, modulations found.

    Keys are those of the plain lane, so that both lanes are read alike. What is played twice is
    read as it was the first time; sections the form never plays are read by themselves.
    """
    choruses = 2 if any(is_last_time(chart, name) for name in chart.form) else 1
    road = unroll(chart, lane=lane, choruses=choruses)
    played = [(bar.section, bar.bar, bar.slots) for bar in road.bars]
    keys = dict(flow_of(chart).keys)
    for section in chart.sections:
        if (section.name, 0) not in keys:
            keys |= _own_keys(section, chart.key)
            bars = enumerate(section.lane(lane), 1)
            played += [(section.name, number, bar.slots) for number, bar in bars]
    found = _read(chart, played, keys)
    return tuple(
        found[section.name, number, place]
        for section in chart.sections
        for number, bar in enumerate(section.lane(lane), 1)
        for place in range(len(bar.slots))
    )


def _own_keys(section: Section, header: Key) -> dict[BarId, tuple[Key, ...]]:
    """Return the keys of a section's plain lane heard by itself."""
    heard = tuple(Heard(slot.chord, slot.beats) for bar in section.plain for slot in bar.slots)
    found = iter(find_keys(heard, header))
    return {
        (section.name, index): tuple(next(found) for _ in bar.slots)
        for index, bar in enumerate(section.plain)
    }


def _read(
    chart: Chart,
    played: Sequence[tuple[str, int, tuple[Slot, ...]]],
    keys: Mapping[BarId, tuple[Key, ...]],
) -> dict[tuple[str, int, int], ReadSlot]:
    """Read slots in playing order, each with the next other chord."""
    found: dict[tuple[str, int, int], ReadSlot] = {}
    after: Chord | None = None
    last: Chord | None = None
    run: list[tuple[str, int, int]] = []
    ahead: list[tuple[str, int, int]] = []
    for section, number, slots in reversed(played):
        starts = _starts(slots)
        plain = chart.section(section).plain[number - 1].slots
        for place in reversed(range(len(slots))):
            chord = slots[place].chord
            if chord != last:
                after, last = last, chord
                ahead, run = run, []
            under = bisect_right(_starts(plain), starts[place]) - 1
            key = keys[section, number - 1][under]
            reading = read_chord(chord, key, after) if chord else None
            if reading and chord:
                if ahead:
                    reading = _with_substitute(chord, reading, found[ahead[0]])
                reading = reading._replace(numeral=reading.numeral + over_bass(chord, key))
            found[section, number, place] = ReadSlot(section, number, place, chord, reading)
            run.append((section, number, place))
            if reading and reading.role == "related ii":
                _agree(found, ahead, reading.numeral)
    return found


def _with_substitute(chord: Chord, reading: HeardChord, ahead: ReadSlot) -> HeardChord:
    """Read a chord before the tritone substitute into another chord than I as the ii of it."""
    if not (ahead.chord and ahead.reading and ahead.reading.role == "tritone substitute"):
        return reading
    _, slash, goal = ahead.reading.numeral.partition("/")
    falls = (chord.root.pc - ahead.chord.root.pc) % 12 == 1
    if not slash or not falls or chord.quality.family not in ("minor", "half-diminished"):
        return reading
    numeral = f"{_two(chord.quality.family, chord)}/{goal}"
    return reading._replace(numeral=numeral, role="related ii")


def _agree(
    found: dict[tuple[str, int, int], ReadSlot], dominant: Sequence[tuple[str, int, int]], two: str
) -> None:
    """Read the dominant after a related ii as the V of the same chord, so that both agree."""
    goal = two[two.rindex("/") :]
    for place in dominant:
        slot = found[place]
        if slot.chord and slot.reading and not slot.reading.numeral.endswith(goal):
            name = f"V{slot.chord.quality.suffix}{goal}"
            reading = slot.reading._replace(numeral=name, role="secondary dominant")
            found[place] = slot._replace(reading=reading)


def _starts(slots: Sequence[Slot]) -> list[Fraction]:
    """Return where each slot of a bar starts, in beats."""
    return list(accumulate((slot.beats for slot in slots[:-1]), initial=Fraction(0)))


def modulations(slots: Sequence[ReadSlot]) -> tuple[tuple[str, int, Key], ...]:
    """Return where the key changes: section, bar and the new key, the first one included."""
    found: list[tuple[str, int, Key]] = []
    for slot in slots:
        if slot.reading and (not found or found[-1][2] != slot.reading.key):
            found.append((slot.section, slot.bar, slot.reading.key))
    return tuple(found)
