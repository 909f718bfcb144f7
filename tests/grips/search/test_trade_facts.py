"""What every closed-grip teacher knows (common practice, no source), on gCEA unless said."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.transpose import transpose
from porchswing.grips.drawings.lines import best_line, string_lines
from porchswing.grips.names.naming import read_grip
from porchswing.grips.names.readings import sounds_chord
from porchswing.grips.search.best_key import TONICS
from porchswing.grips.search.voice import voice, voicings
from porchswing.grips.shapes.hand import CLOSED_HAND, Weights
from porchswing.grips.shapes.tunings import tuning
from porchswing.grips.shapes.work import hand_columns
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord

UKE = tuning("gCEA")
BRIDGE = "key: C\n[B]\n| E7 | A9 | D7 | G9 |"
TRADE = ["7877", "6777", "5655", "4555"]
AABA = (
    "key: C\nform: A A B A\n[A]\n| C6 A7 | Dm7 G7 | C6 A7 | Dm7 G7 |\n"
    "| C6 C7 | F6 Fm6 | C6 G7 | C6 |\n"
    "[B]\nfrets: 4-8\n| E7 | % | A9 | % | D7 | % | G9 | % |"
)


def grips_of(voicing, section=None):
    """The grips of a section, each run once."""
    grips = [str(s.grip) for s in voicing.slots if section in (None, s.section)]
    return [grip for place, grip in enumerate(grips) if place == 0 or grips[place - 1] != grip]


@pytest.mark.parametrize(
    ("frets", "symbol"),
    [
        ("7877", "E7"), ("6777", "A9"), ("5655", "D7"), ("4555", "G9"),
        ("0003", "C"), ("2010", "F"), ("0232", "G"), ("5433", "C"), ("0000", "C6"), ("0000", "Am7"),
        ("5333", "Cm"), ("4333", "CmMaj7"), ("3333", "Cm7"), ("2333", "Cm6"),
    ],
)  # fmt: skip
def test_what_grips_sound(frets, symbol):
    assert sounds_chord(read_grip(frets, UKE), parse_chord(symbol))


def test_ninths_without_their_root():
    assert parse_chord("A9").root.pc not in {m % 12 for m in read_grip("6777", UKE).midi}
    assert parse_chord("G9").root.pc not in {m % 12 for m in read_grip("4555", UKE).midi}


@pytest.mark.parametrize("frets", [None, (4, 8)])
def test_the_bridge_is_the_unique_best(frets):
    best, second = voicings(parse_chart(BRIDGE), frets=frets, best=2)
    assert grips_of(best) == TRADE
    assert second.cost - best.cost > 1


@pytest.mark.parametrize("frets", [None, (4, 8)])
def test_the_bridge_wins_when_sevenths_may_be_ninths(frets):
    chart = parse_chart("[B]\n| E7 | A7 | D7 | G7 |")
    best, second = voicings(chart, frets=frets, offers=["7|9"], best=2)
    assert grips_of(best) == TRADE
    assert second.cost > best.cost
    one_by_one = voice(chart, frets=frets, offers=["E7|E9", "A7|A9", "D7|D9", "G7|G9"])
    assert grips_of(one_by_one) == TRADE
    assert [str(slot.chord) for slot in one_by_one.slots] == ["E7", "A9", "D7", "G9"]


def test_the_bridge_inside_a_whole_tune():
    assert grips_of(voice(parse_chart(AABA)), "B") == TRADE


@pytest.mark.parametrize("factor", [0.5, 2.0])
@pytest.mark.parametrize("name", [weight.name for weight in fields(Weights)])
def test_no_single_weight_decides(name, factor):
    """Any weight may be half or double; tests/bench/grips_weights.py changes all at random."""
    weights = replace(Weights(), **{name: factor * getattr(Weights(), name)})
    hand = replace(CLOSED_HAND, weights=weights)
    assert grips_of(voice(parse_chart(BRIDGE), hand=hand)) == TRADE
    assert grips_of(voice(parse_chart(AABA), hand=hand), "B") == TRADE


def test_the_line_of_the_bridge():
    voicing = voice(parse_chart(BRIDGE))
    assert string_lines(voicing)[0].notes == ("D5", "C#5", "C5", "B4")
    assert str(best_line(voicing)) == "string 4 falls by semitones, D to B"


def test_shapes_repeat_two_by_two():
    e7, a9, d7, g9 = (read_grip(frets, UKE) for frets in TRADE)
    assert hand_columns(e7).shape == hand_columns(d7).shape
    assert hand_columns(a9).shape == hand_columns(g9).shape
    assert e7.frets[0] - d7.frets[0] == a9.frets[0] - g9.frets[0] == 2


@pytest.mark.parametrize("tonic", TONICS["major"].split())
def test_the_chain_keeps_its_ways_in_every_key(tonic):
    """Shapes repeat in pairs and one string falls by semitones, in all twelve keys."""
    chart = transpose(parse_chart(BRIDGE), Key.parse(tonic))
    voicing = voice(chart)
    first, second, third, fourth = (slot.grip for slot in voicing.slots)
    assert hand_columns(first).shape == hand_columns(third).shape >= 0
    assert hand_columns(second).shape == hand_columns(fourth).shape >= 0
    falls = [
        line
        for line in string_lines(voicing)
        if [b - a for a, b in zip(line.midi, line.midi[1:], strict=False)] == [-1, -1, -1]
    ]
    assert falls


def test_the_line_in_minor():
    voicing = voice(parse_chart("key: C minor\n[A]\n| Cm Cm(maj7) | Cm7 Cm6 |"))
    assert grips_of(voicing) == ["5333", "4333", "3333", "2333"]


def test_two_five_one():
    best, second = voicings(parse_chart("[A]\n| Dm7 G7 | Cmaj7 |"), best=2)
    assert grips_of(best) == ["7988", "7778", "5777"]
    assert second.cost >= best.cost


@pytest.mark.parametrize(
    ("symbol", "frets"),
    [("C", "0003"), ("F", "2010"), ("G", "0232"), ("Am", "2000"), ("C7", "0001"), ("A7", "0100"),
     ("G7", "0212"), ("Dm", "2210"), ("D7", "2223"), ("E7", "1202"), ("Bb", "3211"),
     ("A", "2100"), ("F7", "2310")],
)  # fmt: skip
def test_plain_chords_are_the_beginners(symbol, frets):
    voicing = voice(parse_chart(f"[A]\n| {symbol} |"), lane="plain")
    assert grips_of(voicing) == [frets]


@pytest.mark.parametrize(
    ("symbol", "frets"),
    [("G9", "2212"), ("Dm6", "2212"),
     ("Em", "0432"), ("Dm7", "2213"), ("Eb7", "3334"), ("Bbmaj7", "3210"), ("F6", "2213"),
     ("G", "0232"), ("E", "1402"), ("Cm", "0333"), ("Fm", "1013"), ("Bm", "4222")],
)  # fmt: skip
def test_open_grips_are_the_usual_printed_ones(symbol, frets):
    """As in @tombatossals/chords-db and on beginners' chord sheets."""
    assert grips_of(voice(parse_chart(f"[A]\n| {symbol} |"), lane="plain")) == [frets]


@pytest.mark.parametrize(
    ("symbol", "frets"),
    [("C", "x32010"), ("D", "xx0232"), ("F/A", "x03211"), ("G", "320003"), ("Am", "x02210"),
     ("E", "022100"), ("Em", "022000"), ("Dm", "xx0231"), ("A", "x02220"), ("C/G", "332010"),
     ("B7", "x21202")],
)  # fmt: skip
def test_guitar_grips_by_the_nut_leave_out_bass_strings_alone(symbol, frets):
    """As every beginner's guitar chart prints them (common practice, no source)."""
    chart = parse_chart(f"tuning: guitar\n[A]\n| {symbol} |")
    assert grips_of(voice(chart, lane="plain")) == [frets]
