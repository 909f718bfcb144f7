"""What a grip is called: readings in order, and what it may have meant."""

from __future__ import annotations

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.errors import GripError
from porchswing.grips.names.naming import (
    MAX_NEAR,
    meant_grip,
    name_grip,
    one_finger_away,
    read_grip,
)
from porchswing.grips.names.readings import (
    NAMED,
    ROOTLESS_TONES,
    leads,
    readings,
    sounds_chord,
)
from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.hand import CLOSED_HAND
from porchswing.grips.shapes.tunings import tuning
from porchswing.theory.keys import Key
from porchswing.theory.qualities import QUALITIES
from porchswing.theory.symbols import parse_chord, parse_quality

UKE, GUITAR = tuning("gCEA"), tuning("guitar")


def symbols(frets, tuning=UKE, **context):
    return [str(reading.chord) for reading in name_grip(frets, tuning, **context).readings]


# common practice, no source
@pytest.mark.parametrize(
    ("frets", "first"),
    [
        ("0003", "C"), ("2010", "F"), ("0232", "G"), ("5433", "C"), ("0000", "C6"),
        ("7877", "E7"), ("6777", "A9"), ("5655", "D7"), ("4555", "G9"), ("9-10-10-10", "C9"),
        ("2000", "Am"), ("0100", "A7"), ("2220", "D"), ("2223", "D7"), ("6555", "DmMaj7"),
    ],
)  # fmt: skip
def test_the_likeliest_name(frets, first):
    assert symbols(frets)[0] == first


def test_every_name_of_two_well_known_grips():
    assert symbols("0000")[:2] == ["C6", "Am7"]
    assert set(symbols("6777")[:3]) == {"A9", "Em6", "C#m7b5"}
    assert set(symbols("6777")[3:]) == {"Eb7#5b9", "Eb7alt"}  # its flat nine and sharp five
    assert symbols("7877")[0] == "E7"


def test_what_follows_decides():
    assert symbols("6777", before=parse_chord("D"))[0] == "A9"
    assert symbols("6777", before=parse_chord("F#7"))[0] == "C#m7b5"
    assert symbols("0000", before=parse_chord("D7"))[0] == "Am7"
    assert symbols("1212", before=parse_chord("C"))[0] == "Bdim7"
    assert symbols("1212", before=parse_chord("Ebm"))[0] == "Ddim7"


def test_what_came_before_decides():
    assert symbols("6777", after=parse_chord("B7"))[0] == "Em6"


def test_the_key_spells_and_decides():
    assert symbols("1111", key=Key.parse("Ab"))[:2] == ["Db6", "Bbm7"]
    assert symbols("1111", key=Key.parse("E"))[:2] == ["C#6", "A#m7"]
    assert name_grip("6666", key=Key.parse("Db")).notes == ("Db5", "Gb4", "Bb4", "Eb5")


def test_a_bass_is_named_only_where_it_is_heard():
    assert symbols("0003")[0] == "C"
    assert symbols("0003", tuning("low-g"))[0] == "C/G"
    assert symbols("x32010", GUITAR)[0] == "C"
    assert symbols("032010", GUITAR)[0] == "C/E"


def test_missing_tones_are_said():
    reading = name_grip("6777").readings[0]
    assert (reading.missing, reading.is_rootless, str(reading)) == (("root",), True, "A9 (no root)")


def test_a_slip_of_one_finger_is_told():
    naming = name_grip("6555")
    assert next(str(near) for near in naming.near) == "for D7 you may mean 5655"
    assert name_grip("5655").near == ()
    assert str(meant_grip(read_grip("6555", UKE), parse_chord("D7"))) == "5655"


def test_grips_one_finger_away():
    near = one_finger_away((6, 5, 5, 5))
    assert (5, 6, 5, 5) in near
    assert (5, 5, 5, 5) in near
    assert (6, 5, 5, 5) not in near


@pytest.mark.parametrize(
    ("chord", "following", "does"),
    [("A9", "D", True), ("G7", "C", True), ("Db7", "C", True), ("Bdim7", "C", True),
     ("Dm7", "G7", True), ("Dm7", "G", False), ("C6", "F", False), ("Em6", "D", False)],
)  # fmt: skip
def test_what_leads(chord, following, does):
    assert leads(parse_chord(chord), parse_chord(following)) is does


@pytest.mark.parametrize(
    ("frets", "message"),
    [
        ("78777", "4 strings, got 5"),
        ("78a7", "one fret a string"),
        ("", "4 strings, got 0"),
        ("xxxx", "every string is muted"),
        ("9-99-9-9", "frets go up to 24, got 99"),
        ("-1-2-3-4", "one fret a string"),
        ("٣٣٣٣", "one fret a string"),
    ],
)
def test_bad_frets_say_why(frets, message):
    with pytest.raises(GripError, match=message):
        name_grip(frets)


def test_the_named_qualities_are_known_and_rootless_ones_have_five_tones():
    for suffix in NAMED:
        assert parse_quality(suffix).suffix == suffix
    assert ROOTLESS_TONES == 5


@settings(max_examples=60, deadline=None)
@given(st.lists(st.none() | st.integers(0, 15), min_size=4, max_size=4).map(tuple))
def test_a_reading_always_sounds_its_chord(frets):
    if all(fret is None for fret in frets):
        return
    naming = name_grip(frets)
    sounding = {note % 12 for note in naming.grip.midi if note is not None}
    scores = [reading.score for reading in naming.readings]
    assert scores == sorted(scores, reverse=True)
    assert len(naming.near) <= MAX_NEAR
    for reading in naming.readings:
        assert sounding <= reading.chord.pcs
        assert sounds_chord(naming.grip, reading.chord)
        if reading.chord.root.pc not in sounding:
            assert "root" in reading.missing
            assert len(reading.chord.quality.degrees) >= ROOTLESS_TONES
    for near in naming.near:
        assert near.grip.frets in one_finger_away(frets)
        assert sounds_chord(near.grip, near.chord)


@pytest.mark.parametrize(
    "roots", [["C"], pytest.param(["F#", "Bb"], marks=pytest.mark.slow)], ids="-".join
)
@pytest.mark.parametrize("suffix", QUALITIES)
def test_every_grip_chosen_for_a_chord_is_named_back_by_it(suffix, roots):
    """Composed qualities as well: what the tool plays as a chord, it calls by that chord."""
    found = 0
    for root in roots:
        chord = parse_chord(root + suffix)
        for kind in ("closed", "open"):
            for grip in enumerate_grips(chord, tuning("gCEA"), CLOSED_HAND, kind=kind):
                found += 1
                named = [reading.chord for reading in readings(grip)]
                assert any(
                    other.root.pc == chord.root.pc and other.quality == chord.quality
                    for other in named
                ), (str(chord), str(grip))
    assert found


@pytest.mark.parametrize(
    ("frets", "symbol"), [("1233", "Bb13"), ("0111", "A7#5b9"), ("5656", "Adim7")]
)
def test_rare_readings_are_there(frets, symbol):
    chord = parse_chord(symbol)
    named = name_grip(frets).readings
    assert (chord.root.pc, chord.quality) in [(r.chord.root.pc, r.chord.quality) for r in named]


def test_equal_readings_share_a_row():
    rows = name_grip("5656").reading_rows
    assert rows[0] == "Cdim7 = Ebdim7 = F#dim7 = Adim7"
    assert name_grip("7877").reading_rows[0] == "E7"
