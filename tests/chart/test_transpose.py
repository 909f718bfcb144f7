"""Transposing: functions and spelling kept, in every key; music21 as the other transposer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart, Slot
from porchswing.chart.transpose import transpose
from porchswing.errors import OptionError
from porchswing.theory.keys import Key, degree_between
from support.strategies import charts, keys

MAJOR = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
TUNE = """\
key: F
frets: 4-8
[A]
plain  | F Dm7 | Gm7/D C7 | Bb Bbm6 | F#dim7 N.C. |
swing  | F6@5555 Dm7 | Gm9@x-10-0-x C7b9@9-10-10-10 | Eb9@x465 Db7 | C7 |
melody | A4:4 | Bb4:4 | Db5:2 F#4:2 | C5:4 |
"""


def slots(chart: Chart) -> list[Slot]:
    return [
        slot
        for section in chart.sections
        for lane in (section.plain, section.swing or ())
        for bar in lane
        for slot in bar.slots
    ]


@pytest.mark.parametrize("name", MAJOR)
def test_functions_and_spelling_are_kept(name: str) -> None:
    chart, key = parse_chart(TUNE), Key.parse(name)
    moved = transpose(chart, key)
    assert moved.key == key
    for before, after in zip(slots(chart), slots(moved), strict=True):
        assert after.beats == before.beats
        assert (before.chord is None) == (after.chord is None)
        if before.chord is None or after.chord is None:
            continue
        old = degree_between(chart.key.tonic, before.chord.root)
        new = degree_between(key.tonic, after.chord.root)
        assert old.pc == new.pc
        assert after.chord.quality == before.chord.quality
        assert abs(after.chord.root.alter) <= 1
        if abs(after.chord.root.alter) == 1 or old == new:
            assert old == new or name in ("Cb", "Gb", "Db", "C#", "F#", "B")


@pytest.mark.parametrize("name", MAJOR)
def test_roots_are_music21s(need_module, name: str) -> None:
    need_module("music21")
    from music21 import interval, pitch

    chart = parse_chart(TUNE)
    step = interval.Interval(pitch.Pitch("F4"), pitch.Pitch(name.replace("b", "-") + "4"))
    for before, after in zip(slots(chart), slots(transpose(chart, Key.parse(name))), strict=True):
        if before.chord is None or after.chord is None:
            continue
        other = pitch.Pitch(str(before.chord.root).replace("b", "-") + "4").transpose(step)
        if abs(other.alter) <= 1:
            assert str(after.chord.root) == other.name.replace("-", "b")
        else:
            assert after.chord.root.pc == other.pitchClass


def test_known_result() -> None:
    moved = transpose(parse_chart(TUNE), Key.parse("Bb"))
    assert [slot.chord.symbol for bar in moved.sections[0].plain for slot in bar.slots[:1]] == [
        "Bb",
        "Cm7/G",
        "Eb",
        "Bdim7",
    ]
    assert [note.pitch for bar in moved.sections[0].melody or () for note in bar] == [
        74,
        75,
        78,
        71,
        77,
    ]
    assert "D5:4" in write_chart(moved)
    assert "Gb5:2 B4:2" in write_chart(moved)


def test_closed_locks_move_and_open_ones_go() -> None:
    locks = [slot.lock for slot in slots(transpose(parse_chart(TUNE), Key.parse("G"))) if slot.lock]
    assert locks == [(7, 7, 7, 7), (11, 12, 12, 12), (None, 6, 8, 7)]
    locks = [slot.lock for slot in slots(transpose(parse_chart(TUNE), Key.parse("C"))) if slot.lock]
    assert locks == [(12, 12, 12, 12), (4, 5, 5, 5), (None, 11, 13, 12)]


def test_fret_windows_move_too() -> None:
    assert transpose(parse_chart(TUNE), Key.parse("G")).settings.frets == (6, 10)
    assert transpose(parse_chart(TUNE), Key.parse("C")).settings.frets == (11, 15)


@pytest.mark.parametrize(
    ("key", "lock", "moved"),
    # six up to F#, five down to G; up to fret 15 and down to fret 1, else by an octave, else none
    [
        ("F#", "9-9-9-9", (15, 15, 15, 15)),
        ("F#", "10-10-10-10", (4, 4, 4, 4)),
        ("G", "6-6-6-6", (1, 1, 1, 1)),
        ("G", "5-6-5-5", (12, 13, 12, 12)),
        ("G", "x-8-5-5", (None, 15, 12, 12)),
        ("G", "x-9-5-5", None),
        ("F#", "5-9-10-10", None),
    ],
)
def test_how_far_a_lock_may_move(key: str, lock: str, moved: tuple[int | None, ...]) -> None:
    ((slot,),) = (slots(transpose(parse_chart(f"key: C\n[A]\n| C6@{lock} |"), key)),)
    assert slot.lock == moved


@pytest.mark.parametrize(
    ("key", "window", "moved"),
    [
        ("G", "5-9", (0, 4)),
        ("G", "4-9", (11, 16)),
        ("F#", "14-18", (20, 24)),
        ("F#", "15-19", (9, 13)),
        ("G", "2-24", (9, 24)),
        ("F#", "3-20", (0, 14)),
    ],
)
def test_how_far_a_window_may_move(key: str, window: str, moved: tuple[int, int]) -> None:
    chart = parse_chart(f"key: C\n[A]\nfrets: {window}\n| C6 | Dm7 |")
    ((at, settings),) = transpose(chart, key).sections[0].settings
    assert (at, settings.frets) == (0, moved)


@pytest.mark.parametrize(
    ("key", "note", "moved"),
    [
        ("G", "F-1", 0), ("G", "E-1", 11), ("F#", "C#9", 127), ("F#", "D9", 116), ("F#", "C4", 66),
        ("G", "C4", 55),
    ],
)  # fmt: skip
def test_a_melody_stays_within_midi(key: str, note: str, moved: int) -> None:
    chart = parse_chart(f"key: C\n[A]\nplain | C6 |\nmelody | {note}:4 |")
    (((found,),),) = (section.melody or () for section in transpose(chart, key).sections)
    assert found.pitch == moved


def test_a_lock_that_goes_takes_its_fingers_along() -> None:
    chart = parse_chart("key: C\n[A]\n| F@2010:2010 | C6@5555:1111 |")
    gone, kept = slots(transpose(chart, "D"))
    assert (gone.lock, gone.fingers) == (None, ())
    assert (kept.lock, kept.fingers) == ((7, 7, 7, 7), (1, 1, 1, 1))


def test_numbers_stay_as_written() -> None:
    chart = parse_chart("key: F\nnumbers: yes\n[A]\n| I vi7 | ii7 V7 | bVII7 G7 |\n")
    moved = transpose(chart, Key.parse("D"))
    assert "| I vi7 | ii7 V7 | bVII7 II7 |" in write_chart(moved)
    assert [slot.chord.symbol for slot in slots(moved)] == ["D", "Bm7", "Em7", "A7", "C7", "E7"]
    assert [slot.written for slot in slots(moved)] == ["I", "vi7", "ii7", "V7", "bVII7", ""]


def test_the_mode_stays() -> None:
    minor = parse_chart("key: D minor\n[A]\n| Dm | A7 |\n")
    assert str(transpose(minor, Key.parse("G")).key) == "G minor"
    assert str(transpose(minor, Key.parse("Db")).key) == "C# minor"
    with pytest.raises(OptionError, match="keeps its mode"):
        transpose(parse_chart("[A]\n| C |"), Key.parse("A minor"))
    assert transpose(minor, Key.parse("D")) is minor


@given(charts(), keys)
def test_there_and_back_sounds_the_same(chart: Chart, key: Key) -> None:
    if key.mode == "minor" and chart.key.mode == "major":
        key = replace(key, mode="major").simple
    back = transpose(transpose(chart, key), chart.key)
    for before, after in zip(slots(chart), slots(back), strict=True):
        if before.chord is not None and after.chord is not None:
            assert after.chord.pcs == before.chord.pcs
            assert after.chord.bass_note.pc == before.chord.bass_note.pc
            assert after.marks == before.marks
    for one, other in zip(chart.sections, back.sections, strict=True):
        pitches = [note.pitch for bar in one.melody or () for note in bar]
        again = [note.pitch for bar in other.melody or () for note in bar]
        shift = 12 if (key.tonic.pc - chart.key.tonic.pc) % 12 == 6 else 0
        assert [p and p + shift for p in pitches] == again
