"""Chord symbols: formulas against two independent sources, spellings, and errors that help.

Sources: music21 (``music21.harmony``), built by root and kind because its text reader mistakes
flats; and the definitions of ``kind-value`` in the W3C MusicXML 4.0 schema, read from the
schema itself as the package ``musicxml`` ships it.
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest
from hypothesis import given, strategies as st

from porchswing.errors import ChordSymbolError
from porchswing.theory.chords import Chord
from porchswing.theory.notes import Degree, NoteName
from porchswing.theory.qualities import QUALITIES, ROWS, alterations, quality_of, spellings
from porchswing.theory.symbols import MAX_SYMBOL_CHARACTERS, parse_chord, parse_quality
from support.strategies import SYMBOL_CHARACTERS, chord_symbols, chords

TWELVE_ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
OTHER_ROOTS = ("C#", "D#", "Gb", "G#", "A#", "Cb", "Fb", "E#", "B#")

# our suffix, music21's kind; a 13th drops the 11th here where music21 keeps it (see qualities)
MUSIC21_KINDS = (
    ("", "major"),
    ("m", "minor"),
    ("aug", "augmented"),
    ("dim", "diminished"),
    ("7", "dominant-seventh"),
    ("maj7", "major-seventh"),
    ("m7", "minor-seventh"),
    ("mMaj7", "minor-major-seventh"),
    ("maj7#5", "augmented-major-seventh"),
    ("7#5", "augmented-seventh"),
    ("m7b5", "half-diminished-seventh"),
    ("dim7", "diminished-seventh"),
    ("7b5", "seventh-flat-five"),
    ("6", "major-sixth"),
    ("m6", "minor-sixth"),
    ("9", "dominant-ninth"),
    ("maj9", "major-ninth"),
    ("m9", "minor-ninth"),
    ("mMaj9", "minor-major-ninth"),
    ("9#5", "augmented-dominant-ninth"),
    ("m9b5", "half-diminished-ninth"),
    ("11", "dominant-11th"),
    ("maj11", "major-11th"),
    ("m11", "minor-11th"),
    ("m13", "minor-13th"),
    ("13add11", "dominant-13th"),
    ("maj13add11", "major-13th"),
    ("sus2", "suspended-second"),
    ("sus4", "suspended-fourth"),
    ("7sus4", "suspended-fourth-seventh"),
    ("5", "power"),
)

# our suffix, music21's kind, its modifications (what, degree, semitones)
MUSIC21_ALTERED = (
    ("6/9", "major-sixth", (("add", 9, 0),)),
    ("m6/9", "minor-sixth", (("add", 9, 0),)),
    ("add9", "major", (("add", 9, 0),)),
    ("madd9", "minor", (("add", 9, 0),)),
    ("7b9", "dominant-seventh", (("add", 9, -1),)),
    ("7#9", "dominant-seventh", (("add", 9, 1),)),
    ("9#11", "dominant-ninth", (("add", 11, 1),)),
    ("maj7#11", "major-seventh", (("add", 11, 1),)),
    ("7sus4b9", "suspended-fourth-seventh", (("add", 9, -1),)),
    ("13", "dominant-ninth", (("add", 13, 0),)),
    ("maj13", "major-ninth", (("add", 13, 0),)),
    ("7#5b9", "augmented-seventh", (("add", 9, -1),)),
    ("dimMaj7", "diminished", (("add", 7, 0),)),
)


def music21_names(root: str, kind: str, changes: tuple[tuple[str, int, int], ...]) -> list[str]:
    from music21 import harmony

    symbol = harmony.ChordSymbol(root=root.replace("b", "-"), kind=kind)
    for what, degree, semitones in changes:
        symbol.addChordStepModification(harmony.ChordStepModification(what, degree, semitones))
    return sorted(pitch.name.replace("-", "b") for pitch in symbol.pitches)


@pytest.mark.parametrize("root", TWELVE_ROOTS)
def test_every_kind_is_spelled_as_music21_spells_it(need_module, root: str) -> None:
    need_module("music21")
    for suffix, kind in MUSIC21_KINDS:
        ours = sorted(str(note) for note in parse_chord(root + suffix).notes)
        assert ours == music21_names(root, kind, ()), f"{root}{suffix} against {kind}"
    for suffix, kind, changes in MUSIC21_ALTERED:
        ours = sorted(str(note) for note in parse_chord(root + suffix).notes)
        assert ours == music21_names(root, kind, changes), f"{root}{suffix} against {kind}"


def schema_kinds() -> dict[str, frozenset[Degree]]:
    """Read the words of the schema's own documentation into degrees."""
    schema = (files("musicxml") / "generate_classes" / "musicxml_4_0.xsd").read_text("utf-8")
    text = schema.partition('name="kind-value"')[2].partition("</xs:documentation>")[0]
    words = {
        "major third": "3", "minor third": "b3", "perfect fifth": "5", "augmented fifth": "#5",
        "diminished fifth": "b5", "minor seventh": "b7", "major seventh": "7",
        "diminished seventh": "bb7", "added sixth": "6", "major ninth": "9", "perfect 11th": "11",
        "major 13th": "13", "major second": "2", "perfect fourth": "4",
    }  # fmt: skip
    kinds: dict[str, frozenset[Degree]] = {}
    for name, definition in re.findall(r"^\s+([\w-]+) \(([^)]*)\)$", text, re.MULTILINE):
        degrees = {Degree(1)}
        for part in definition.split(", "):
            # the schema calls its own "dominant" by its full name here
            base = part.removesuffix(" triad").replace("dominant-seventh", "dominant")
            if part in words:
                degrees.add(Degree.parse(words[part]))
            elif base in kinds:
                degrees |= kinds[base]
            else:
                break
        else:
            kinds[name] = frozenset(degrees)
    return kinds


def test_formulas_are_those_of_the_musicxml_schema(need_module) -> None:
    need_module("musicxml")
    ours = {
        "major": "", "minor": "m", "augmented": "aug", "diminished": "dim", "dominant": "7",
        "major-seventh": "maj7", "minor-seventh": "m7", "diminished-seventh": "dim7",
        "augmented-seventh": "7#5", "half-diminished": "m7b5", "major-minor": "mMaj7",
        "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
        "minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11",
        "dominant-13th": "13add11", "major-13th": "maj13add11", "minor-13th": "m13",
        "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
    }  # fmt: skip
    kinds = schema_kinds()
    assert set(kinds) == set(ours)
    for kind, suffix in ours.items():
        assert frozenset(parse_quality(suffix).degrees) == kinds[kind], kind


# from the chart language: every spelling of the design and its canonical name
SPELLINGS = """
C C | Cm Cm | C- Cm | Cmin Cm | C7 C7 | Cmaj7 Cmaj7 | CM7 Cmaj7 | CΔ7 Cmaj7 | CΔ Cmaj7 | C6 C6
C6/9 C6/9 | C69 C6/9 | Cm6 Cm6 | Cm7 Cm7 | C-7 Cm7 | CmMaj7 CmMaj7 | Cm(maj7) CmMaj7
Cm7b5 Cm7b5 | Cø7 Cm7b5 | Cø Cm7b5 | Cdim Cdim | Cdim7 Cdim7 | C°7 Cdim7 | C° Cdim | C+ Caug
Caug Caug | C7#5 C7#5 | C+7 C7#5 | C7+ C7#5 | C7b9 C7b9 | C7#9 C7#9 | C7+9 C7#9
C7(b9,#5) C7#5b9 | C7#5b9 C7#5b9 | C7b9#5 C7#5b9 | C9 C9 | C11 C11 | C13 C13 | C7sus4 C7sus4
C9sus C9sus4 | Csus2 Csus2 | Csus4 Csus4 | Csus Csus4 | Cadd9 Cadd9 | C(add9) Cadd9 | C5 C5
C/G C/G | B♭7 Bb7 | F♯°7 F#dim7 | E♭maj7/B♭ Ebmaj7/Bb | C–7♭5 Cm7b5 | CMA7 Cmaj7 | Cmi7(b5) Cm7b5
C-Δ7 CmMaj7 | C7/b9 C7b9 | C13(b9) C13b9 | C9(#11) C9#11 | C7(#9,#5) C7#5#9 | Calt C7alt
C(b5) C(b5) | C7b5 C7b5 | C7-5 C7b5 | Cm7/11 Cm7add11 | C6/9/E C6/9/E | C7no3 C7no3
Cj7 Cmaj7 | C^7 Cmaj7 | Co7 Cdim7 | Cmin7 Cm7 | Cmi9 Cm9 | CM CM | C2 Cadd9 | Cmadd9 Cmadd9
Bbb7 Bbb7 | C7sus C7sus4 | C13sus4 C13sus4 | Cmaj7#5 Cmaj7#5 | C+maj7 Cmaj7#5 | CmM7 CmMaj7
""".replace("CM CM", "CM C")


def test_spellings_of_printed_charts() -> None:
    pairs = [pair.split() for row in SPELLINGS.strip().splitlines() for pair in row.split(" | ")]
    assert len(pairs) > 70
    for written, canonical in pairs:
        assert parse_chord(written).symbol == canonical, written


@pytest.mark.parametrize(
    ("symbol", "notes"),
    [
        ("Bb7", "Bb D F Ab"),
        ("F#dim7", "F# A C Eb"),
        ("Ebm7b5", "Eb Gb Bbb Db"),
        ("C#7#9", "C# E# G# B D##"),
        ("Gbmaj7", "Gb Bb Db F"),
        ("A7alt", "A C# G Bb B# D# F"),
    ],
)
def test_notes_keep_their_letters(symbol: str, notes: str) -> None:
    assert " ".join(str(note) for note in parse_chord(symbol).notes) == notes


def test_slash_bass_stays_apart() -> None:
    chord = parse_chord("F/C")
    assert str(chord.bass_note) == "C"
    assert [str(note) for note in chord.notes] == ["F", "A", "C"]
    assert parse_chord("F/F") == parse_chord("F")


@pytest.mark.parametrize(
    ("text", "offset", "hint"),
    [
        ("c7", 0, "C7"),
        ("H7", 0, "B7"),
        ("Cmjr7", 2, "Cmaj7"),
        ("Cm7b", 3, "Cm7b5"),
        ("C7(b9", 2, "C7(b9)"),
        ("C7b9)", 4, "C7(b9,#5)"),
        ("C/x", 2, "C/G"),
        ("Am7/Gx", 5, "Am7/G"),
        ("Csuss4", 4, "Csus4"),
        ("Xyz", 0, "N.C."),
        ("", 0, "N.C."),
        ("Cqqq", 1, "list chords"),
        ("(G7)", 0, "without the outer brackets"),
        ("x2", 0, ":|x2"),
        ("C7//G", 2, "C7"),
        ("Cdim7no5#5", 5, ""),
    ],
)
def test_wrong_symbols_say_where_and_what_else(text: str, offset: int, hint: str) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_chord(text)
    assert caught.value.offset == offset
    assert hint in caught.value.hint
    assert caught.value.message


def test_a_symbol_may_be_only_so_long() -> None:
    with pytest.raises(ChordSymbolError, match=str(MAX_SYMBOL_CHARACTERS)):
        parse_chord("C" + "b9" * 30)
    with pytest.raises(ChordSymbolError, match="at most 40 characters, got 41"):
        parse_chord("C" + "7" * 40)
    with pytest.raises(ChordSymbolError, match="cannot read"):
        parse_chord("C" + "7" * 39)


# worked out by hand from the degrees that each sign names; common practice, no source
DEGREES = {
    "Cm7sus4": "1 4 5 b7", "Csus2": "1 2 5", "Cm7no3": "1 5 b7", "C7no5": "1 3 b7",
    "C9no5": "1 3 b7 9", "C6/9b5": "1 3 b5 6 9", "Cm7/11b5": "1 b3 b5 b7 11",
    "C7add6": "1 3 5 b7 13",
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "degrees"), DEGREES.items())
def test_alterations_take_away_and_add_the_degrees_they_name(symbol: str, degrees: str) -> None:
    wanted = {Degree.parse(each) for each in degrees.split()}
    assert set(parse_chord(symbol).quality.degrees) == wanted


@pytest.mark.parametrize(
    ("degrees", "suffix"),
    [
        ("1 2 5 6", "6sus2"),
        ("1 4 5 6", "6sus4"),
        ("1 4 5 6 9", "6/9sus4"),
        ("1 4 #5 b7", "7#5sus4"),
        ("1 3 b5 6", "6b5"),
        ("1 b3 #5 6", "m6#5"),
    ],
)
def test_degrees_get_the_shortest_symbol(degrees: str, suffix: str) -> None:
    assert quality_of(frozenset(map(Degree.parse, degrees.split()))).suffix == suffix


def test_degrees_that_no_symbol_can_say_are_refused() -> None:
    with pytest.raises(ValueError, match="no chord symbol can say"):
        quality_of(frozenset(map(Degree.parse, ("1", "b3", "#5", "bb7"))))


def test_the_table_has_no_doubles() -> None:
    assert len({suffix for suffix, *_ in ROWS}) == len(ROWS)
    assert len({frozenset(quality.degrees) for quality in QUALITIES.values()}) == len(ROWS)
    families = {
        "major", "minor", "dominant", "half-diminished", "diminished", "augmented", "suspended",
        "power",
    }  # fmt: skip
    assert {quality.family for quality in QUALITIES.values()} == families
    for quality in QUALITIES.values():
        assert quality.degrees[0] == Degree(1)
        semitones = [degree.semitones for degree in quality.degrees]
        assert semitones == sorted(set(semitones)), quality.suffix


def test_no_spelling_stands_for_two_rows() -> None:
    from porchswing.theory.qualities import _written_out

    seen: dict[str, str] = {}
    for suffix, _, _, others in ROWS:
        for spelling in (suffix, *others.split()):
            for text in _written_out(spelling):
                assert seen.setdefault(text, suffix) == suffix, text


@pytest.mark.parametrize("root", TWELVE_ROOTS + OTHER_ROOTS)
def test_every_spelling_of_every_row_reads_as_its_row(root: str) -> None:
    for spelling, quality in spellings().items():
        text = root + spelling
        if len(text) <= MAX_SYMBOL_CHARACTERS and not spelling.startswith(("b", "#")):
            assert parse_chord(text).quality == quality, text


@given(chords())
def test_canonical_symbols_read_back(chord: Chord) -> None:
    assert parse_chord(chord.symbol) == chord


@given(chord_symbols())
def test_composed_symbols_read_back_or_are_refused(text: str) -> None:
    try:
        chord = parse_chord(text)
    except ChordSymbolError:
        return
    assert parse_chord(chord.symbol) == chord
    assert chord.quality == quality_of(frozenset(chord.quality.degrees))


@given(st.sampled_from(sorted(QUALITIES)), st.permutations(("b9", "#11", "b13")), st.integers(0, 3))
def test_order_of_alterations_does_not_matter(base: str, steps: list[str], count: int) -> None:
    if not base.startswith(("7", "9", "m7", "maj7")) or base == "7alt":
        return
    one = "C" + base + "".join(steps[:count])
    other = "C" + base + "".join(reversed(steps[:count]))
    assert _or_error(one) == _or_error(other)


def _or_error(text: str) -> Chord | None:
    try:
        return parse_chord(text)
    except ChordSymbolError:
        return None


@given(st.text(max_size=50) | st.text(SYMBOL_CHARACTERS, max_size=20))
def test_any_text_is_a_chord_or_our_error(text: str) -> None:
    try:
        chord = parse_chord(text)
    except ChordSymbolError as error:
        offset = error.offset
    else:
        offset = 0
        assert parse_chord(chord.symbol) == chord
    assert 0 <= offset <= len(text)


def test_alterations_are_all_read() -> None:
    for spelling in alterations():
        chord = parse_chord(f"C7({spelling})")
        assert chord.root == NoteName("C"), spelling


@pytest.mark.parametrize(
    ("word", "example"), [("dom7", "C7"), ("maj7", "Cmaj7"), ("dim", "Cdim"), ("sus4", "Csus4")]
)
def test_a_quality_apart_from_its_root_is_no_small_root(word: str, example: str) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_chord(word)
    assert caught.value.hint.endswith(f"for example {example}")
    parse_chord(example)
