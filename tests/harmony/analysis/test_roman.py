"""Roman numerals and spellings against music21, a general-purpose library we did not write.

``romanNumeralFromChord`` reads diatonic chords; ``RomanNumeral`` builds the pitches of a
figure. Chords are given to it by root and kind or as spelled notes, never as text.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from typing import Any

import pytest

from porchswing.chart.language.numerals import write_numeral
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.transpose import transpose
from porchswing.harmony.analysis.figures import named_figures
from porchswing.harmony.analysis.roman import modulations, numeral, read_chart_roman, read_chord
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName
from porchswing.theory.qualities import QUALITIES
from porchswing.theory.symbols import parse_chord

MAJORS = ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F")
MINORS = ("A", "E", "B", "F#", "C#", "G#", "D#", "Bb", "F", "C", "G", "D")
KEYS = tuple(Key.parse(t) for t in MAJORS) + tuple(Key.parse(f"{t} minor") for t in MINORS)
# degree of the scale -> quality, sevenths of the major scale and of harmonic minor practice
DIATONIC = {
    "major": ("maj7", "m7", "m7", "maj7", "7", "m7", "m7b5"),
    "minor": ("m7", "m7b5", "maj7", "m7", "7", "maj7", "7"),
}
TRIADS = {"major": ("", "m", "m", "", "", "m", "dim"), "minor": ("m", "dim", "", "m", "", "", "")}
# goal degree -> its numeral, for the dominants on the way to it
GOALS = {
    "major": {2: "ii", 3: "iii", 4: "IV", 5: "V", 6: "vi"},
    "minor": {4: "iv", 5: "v", 6: "VI"},
}


@pytest.fixture
def m21(need_module: Callable[[str], None]) -> Any:
    need_module("music21")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import music21
    return music21


def m21_key(m21: Any, key: Key) -> Any:
    return m21.key.Key(str(key.tonic).replace("b", "-"), key.mode)


def m21_chord(m21: Any, chord: Chord) -> Any:
    """Build the chord from our spelled notes, rising from its root."""
    pitches, low = [], None
    for note in chord.notes:
        pitch = m21.pitch.Pitch(str(note).replace("b", "-") + "4")
        while low is not None and pitch.ps <= low:
            pitch.octave += 1
        low = pitch.ps
        pitches.append(pitch)
    return m21.chord.Chord(pitches)


def figure(text: str) -> str:
    """Write one of our numerals as music21 writes a figure."""
    for ours, theirs in (("°7", "o7"), ("ø7", "/o7"), ("maj7", "7"), ("°", "o")):
        text = text.replace(ours, theirs)
    return text


def m21_pcs(m21: Any, text: str, key: Key) -> set[int]:
    flat = m21.roman.Minor67Default.FLAT
    read = m21.roman.RomanNumeral(
        figure(text), m21_key(m21, key), sixthMinor=flat, seventhMinor=flat
    )
    return {pitch.pitchClass for pitch in read.pitches}


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_diatonic_chords_read_as_music21_reads_them(m21: Any, key: Key) -> None:
    for table in (TRIADS, DIATONIC):
        for number, suffix in enumerate(table[key.mode]):
            chord = Chord(key.scale[number], QUALITIES[suffix])
            ours = numeral(chord, key)
            read = m21.roman.romanNumeralFromChord(m21_chord(m21, chord), m21_key(m21, key))
            theirs = read.romanNumeralAlone
            assert ours.rstrip("maj67°ø").lstrip("#") == theirs, chord
            if ours[:3] != "VII" or key.mode == "major":
                assert m21_pcs(m21, ours, key) == set(chord.pcs), (ours, chord)


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_secondary_dominants_and_their_iis(m21: Any, key: Key) -> None:
    for number, name in GOALS[key.mode].items():
        goal = Chord(key.scale[number - 1], QUALITIES["" if name.isupper() else "m"])
        root = key.spell(goal.root.pc + 7)
        dominant = Chord(root, QUALITIES["7"])
        reading = read_chord(dominant, key, goal)
        if reading.role == "blues tonic":
            continue
        assert reading.numeral == f"V7/{name}", (dominant, goal)
        assert m21_pcs(m21, f"V7/{name}", key) == set(dominant.pcs)
        two = Chord(key.spell(goal.root.pc + 2), QUALITIES["m7" if name.isupper() else "m7b5"])
        read = read_chord(two, key, dominant)
        wanted = f"ii{'7' if name.isupper() else 'ø7'}/{name}"
        if read.role == "related ii":
            assert read.numeral == wanted
            assert m21_pcs(m21, wanted, key) == set(two.pcs)
        else:
            assert two.root in key.scale, "a ii that is a chord of the key may keep its own name"


@pytest.mark.parametrize(
    ("key", "bars", "numerals"),
    [
        ("D minor", "| Gm7 Gb7 | F |", "ii7/III subV7/III III"),
        ("D minor", "| Bm7b5 Bb7 | A7 |", "iiø7/v subV7/v V7"),
        ("C", "| Dm7 Db7 | C |", "ii7 subV7 I"),
    ],
)
def test_a_ii_and_the_substitute_after_it_name_one_goal(key: str, bars: str, numerals: str) -> None:
    chart = parse_chart(f"key: {key}\n[A]\n{bars}\n")
    reads = [slot.reading for slot in read_chart_roman(chart)]
    assert " ".join(reading.numeral for reading in reads if reading) == numerals


@pytest.mark.parametrize("key", KEYS, ids=str)
def test_spelled_notes_against_chord_symbols_by_root_and_kind(m21: Any, key: Key) -> None:
    kinds = {
        "maj7": "major-seventh", "m7": "minor-seventh", "7": "dominant-seventh", "m7b5":
        "half-diminished-seventh", "6": "major-sixth", "m6": "minor-sixth", "dim7":
        "diminished-seventh", "9": "dominant-ninth", "mMaj7": "minor-major-seventh",
        "7#5": "augmented-seventh",
    }  # fmt: skip
    for number, suffix in enumerate(DIATONIC[key.mode]):
        for name in {suffix, "7", "dim7", "6", "m6", "9", "mMaj7", "7#5"}:
            chord = Chord(key.scale[number], QUALITIES[name])
            symbol = m21.harmony.ChordSymbol(
                root=str(chord.root).replace("b", "-"), kind=kinds[name]
            )
            ours = {str(note).replace("b", "-") for note in chord.notes}
            assert ours == {pitch.name for pitch in symbol.pitches}, chord


def test_numbers_in_numbers_out() -> None:
    """A numbered chart and the lettered one read alike, and go back the way they came."""
    numbered = parse_chart("key: Eb\nnumbers: yes\n[A]\n| I vi7 | ii7 V7/V | V7 | I |\n")
    lettered = parse_chart("key: Eb\n[A]\n| Eb Cm7 | Fm7 F7 | Bb7 | Eb |\n")
    assert numbered.section("A").plain == lettered.section("A").plain
    assert [r.reading.numeral for r in read_chart_roman(lettered) if r.reading] == [
        "I", "vi7", "ii7", "V7/V", "V7", "I"
    ]  # fmt: skip
    key = Key.parse("Eb")
    assert write_numeral(parse_chord("Fm7"), key) == "ii7"


CASES = (
    ("C", "C A7 Dm7 G7 C", "I V7/ii ii7 V7 I"),
    ("C", "Dm7 Db7 C6", "ii7 subV7 I6"),
    ("C", "C C#dim7 Dm7 G7 C", "I #i°7 ii7 V7 I"),
    ("C", "C Em7 Ebdim7 Dm7 G7", "I iii7 biii°7 ii7 V7"),
    ("C", "F Fm6 C", "IV iv6 I"),
    ("C", "Fm7 Bb7 C", "iv7 bVII7 I"),
    ("C", "Em7b5 A7 Dm7 G7 C", "iiø7/ii V7/ii ii7 V7 I"),
    ("C", "E7 A7 D7 G7 C", "V7/vi V7/ii V7/V V7 I"),
    ("C", "C D7 Db7 C", "I V7/V subV7 I"),
    ("C", "C D7 Bdim7 C", "I V7/V vii°7 I"),
    ("C", "C C7 F C", "I V7/IV IV I"),
    ("C", "C Bm7b5 E7 Am7", "I iiø7/vi V7/vi vi7"),
    ("C", "C Bm7b5 E7 Am7 Dm7", "I iiø7/vi V7/vi vi7 ii7"),
    ("C", "Cmaj7 Em7b5 A7 Dm", "Imaj7 iiø7/ii V7/ii ii"),
    ("C", "C F#m7b5 B7 Em7 A7 Dm7 G7", "I iiø7/iii V7/iii ii7/ii V7/ii ii7 V7"),
    ("Bb", "Bb Fm7 Bb7 Eb", "I ii7/IV V7/IV IV"),
    ("E", "A7 Am7 G#m7 C#7 F#m7", "IV7 iv7 ii7/ii V7/ii ii7"),
    ("C minor", "Cm7 Gm7b5 C7 Fm7", "i7 iiø7/iv V7/iv iv7"),
    ("A minor", "Am Em7b5 A7 Dm Bm7b5 E7 Am", "i iiø7/iv V7/iv iv iiø7 V7 i"),
    ("A minor", "Am Bm7b5 E7 Am", "i iiø7 V7 i"),
    ("A minor", "Am Dm G7 C Am E7 Am", "i ii/III V7/III III i V7 i"),
    ("Bb", "Bb7 Eb7 Bb7 F7 Bb7", "I7 IV7 I7 V7 I7"),
)


@pytest.mark.parametrize(("key", "chords", "wanted"), CASES)
def test_functions_of_the_trade(key: str, chords: str, wanted: str) -> None:
    bars = " | ".join(chords.split())
    for pc in range(12):
        chart = parse_chart(f"key: {key}\n[A]\n| {bars} |\n")
        tonic = chart.key.spell(chart.key.tonic.pc + pc)
        moved = transpose(chart, Key(tonic, chart.key.mode).simple)
        read = [r.reading.numeral for r in read_chart_roman(moved) if r.reading]
        assert " ".join(read) == wanted, moved.key


def test_roles_have_words() -> None:
    key = Key.parse("C")
    pairs = {("G7", "C"): "dominant", ("Db7", "C"): "tritone substitute", ("Bb7", "C"):
             "backdoor dominant", ("Fm6", "C"): "minor iv", ("C#dim7", "Dm7"):
             "passing diminished", ("A7", "D7"): "extended dominant"}  # fmt: skip
    for (name, after), role in pairs.items():
        assert read_chord(parse_chord(name), key, parse_chord(after)).role == role


def test_a_modulation_is_found() -> None:
    home = "| C | Am | Dm | G7 | C | F | G7 | C |"
    away = "| Fm7 | Bb7 | Eb | Cm | Fm7 | Bb7 | Eb | Eb |"
    chart = parse_chart(f"key: C\nform: A B A\n[A]\n{home}\n[B]\n{away}\n")
    assert [(s, str(k)) for s, _, k in modulations(read_chart_roman(chart))] == [
        ("A", "C"), ("B", "Eb")
    ]  # fmt: skip
    passing = parse_chart("key: C\n[A]\n| C | A7 | Dm | D7 | G7 | E7 | Am | G7 | C | C |\n")
    assert len(modulations(read_chart_roman(passing))) == 1, "tonicised is not modulated"


def test_a_section_a_tone_up_is_in_its_own_key() -> None:
    """Eight bars with their own cadence, begun and ended on their own tonic."""
    verse, lifted = "| C | G7 | C | C | F | G7 | C | C |", "| D | A7 | D | D | G | A7 | D | D |"
    for form in ("A B", "A B A", "A A B"):
        chart = parse_chart(f"key: C\nform: {form}\n[A]\n{verse}\n[B]\n{lifted}\n")
        heard = [(section, str(key)) for section, _, key in modulations(read_chart_roman(chart))]
        assert heard == [("A", "C"), ("B", "D")], form


def test_minor_key_keeps_its_tonic() -> None:
    chart = parse_chart("key: D minor\n[A]\n| Dm | Gm | A7 | Dm | F | C7 | F A7 | Dm |\n")
    found = modulations(read_chart_roman(chart))
    assert [str(key) for _, _, key in found] == ["D minor"]
    assert NoteName.parse("D") == found[0][2].tonic


FIGURES = (
    ("| C | Am | Dm | G7 |", ["turnaround"]),
    ("| C A7 | Dm7 G7 | C6 C#dim7 | Dm7 Db7 | C |", ["turnaround", "turnaround"]),
    ("| C | Dm7 | G7 | C |", ["ii–V–I"]),
    ("| Dm7 | Db7 | C |", ["ii–V–I"]),
    ("| C | Fm7 Bb7 | C |", ["backdoor"]),
    ("| C | F Fm | C |", ["minor iv and home"]),
    ("| C C7 | F F#dim7 | C/G G7 | C |", ["ending tag"]),
    ("| E7 | A7 | D7 | G7 |", ["chain of dominants"]),
    ("| C | F | G | C |", []),
)


@pytest.mark.parametrize(("bars", "names"), FIGURES)
def test_figures_are_named_in_every_key(bars: str, names: list[str]) -> None:
    """Common practice, no single source."""
    for pc in range(12):
        chart = parse_chart(f"key: C\n[A]\n{bars}\n")
        moved = transpose(chart, Key(chart.key.spell(pc)).simple)
        found = [figure.name for figure in named_figures(read_chart_roman(moved))]
        assert found == names, moved.key
