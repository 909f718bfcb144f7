"""Chord melody: proof by trying every way, and the tune on top in what is played."""

from __future__ import annotations

import json
import random
from itertools import pairwise, product
from xml.etree.ElementTree import fromstring

import mido
import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.unroll import unroll
from porchswing.cli.main import group
from porchswing.errors import GripError, OptionError
from porchswing.grips.drawings.tablature import tablature
from porchswing.grips.melody.solo import solo
from porchswing.grips.melody.top_grips import is_tension, top_grips
from porchswing.grips.search.table import with_fingerings
from porchswing.grips.search.voice import chart_of
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import CLOSED_HAND
from porchswing.grips.shapes.tunings import tuning
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.options import Choices
from porchswing.take import take_from_chart
from porchswing.theory.symbols import parse_chord
from support.exhaustive_grips import change_steps, first_steps

UKE = tuning("gCEA")


@pytest.mark.parametrize(
    ("symbol", "note", "bears"),
    [
        # available tensions and notes to avoid (any jazz harmony textbook)
        ("Cmaj7", 2, True), ("Cmaj7", 6, True), ("Cmaj7", 9, True), ("Cmaj7", 5, False),
        ("Dm7", 4, True), ("Dm7", 7, True), ("Dm7", 10, False),
        ("G7", 9, True), ("G7", 8, True), ("G7", 10, True), ("G7", 1, True), ("G7", 3, True),
        ("G7", 4, True), ("G7", 0, False),
        ("C", 11, True), ("Cm", 10, True), ("C", 10, False),
    ],
)  # fmt: skip
def test_tensions_that_a_chord_bears(symbol, note, bears):
    assert is_tension(parse_chord(symbol), note) is bears


@pytest.mark.parametrize(("symbol", "pitch"), [("C6", 72), ("Dm7", 74), ("G7", 71), ("G7", 76)])
def test_no_grip_under_a_note_is_missed_and_none_is_wrong(symbol, pitch):
    chord = parse_chord(symbol)
    hand = CLOSED_HAND
    found = {grip.frets for grip in top_grips(chord, pitch, UKE, hand)}
    guides = {
        (chord.root.pc + degree.semitones) % 12
        for degree in chord.quality.degrees
        if degree.number in (3, 7, 6)
    }
    options = [
        [None, *(fret for fret in range(13) if open_note + fret <= pitch)]
        for open_note in UKE.open_midi
    ]
    pairs = set()
    for row in product(*options):
        sounding = [index for index, fret in enumerate(row) if fret is not None]
        pressed = [fret for fret in row if fret]
        if len(sounding) != 2 or sounding[1] - sounding[0] != 1:
            continue
        if pressed and max(pressed) - min(pressed) > hand.max_stretch:
            continue
        notes = [UKE.open_midi[index] + row[index] for index in sounding]
        pcs = {note % 12 for note in notes}
        others = pcs - {pitch % 12}
        fits = others and others <= chord.pcs and pcs & guides
        if max(notes) == pitch and fits and fingerings(row):
            pairs.add(row)
    assert pairs == {row for row in found if sum(fret is not None for fret in row) == 2}
    for row in found:
        notes = [m + fret for m, fret in zip(UKE.open_midi, row, strict=True) if fret is not None]
        assert max(notes) == pitch
        assert {note % 12 for note in notes} <= chord.pcs | {pitch % 12}


def small_tunes(count):
    rng = random.Random("tunes")
    while count:
        bars = []
        for _ in range(rng.choice((2, 3))):
            chord = rng.choice(["C", "F", "G", "Am", "Dm7", "G7", "C6", "A7", "D7"])
            notes = [rng.choice(["C5", "D5", "E5", "A4", "B4"]) for _ in range(2)]
            bars.append((chord, notes))
        text = (
            "meter: 2/4\n[A]\nplain | "
            + " | ".join(chord for chord, _ in bars)
            + " |\nmelody | "
            + " | ".join(f"{a}:1 {b}:1" for _, (a, b) in bars)
            + " |"
        )
        tables = [
            [
                (parse_chord(chord), held)
                for grip in top_grips(parse_chord(chord), pitch_of(notes[0]), UKE, HAND)
                for held in with_fingerings(grip)
            ]
            for chord, notes in bars
        ]
        size = 1
        for table in tables:
            size *= len(table)
        if 2 <= size <= 6000:
            count -= 1
            yield text, bars, tables


def pitch_of(name):
    return {"C5": 72, "D5": 74, "E5": 76, "A4": 69, "B4": 71}[name]


HAND = CLOSED_HAND.__class__(region=(0, CLOSED_HAND.region[1]), max_fret=7)


def pick(grip, pitch):
    """What a note picked alone costs from a grip: there and back, as the module says."""
    costs = []
    for index, open_note in enumerate(UKE.open_midi):
        fret = pitch - open_note
        if not 0 <= fret <= 7:
            continue
        if fret == 0 or grip.frets[index] == fret:
            costs.append(0)
            continue
        place = grip.held.position
        away = max(place - fret, fret - place - 3, 0) if place else 0
        costs.append(500 + 2 * away * 500)
    return min(costs)


def every_way(bars, tables):
    for row in product(*tables):
        total = first_steps(row[0], HAND)
        total += sum(change_steps(a, b, HAND) for a, b in pairwise(row))
        for (chord, grip), (_, notes) in zip(row, bars, strict=True):
            sounding = sum(fret is not None for fret in grip.frets)
            total += (0, 1000, 3500)[4 - sounding]
            total += 250 * (pitch_of(notes[0]) % 12 not in chord.pcs)
            total += pick(grip, pitch_of(notes[1]))
        yield total


def test_the_arrangement_equals_every_way_tried():
    for text, bars, tables in small_tunes(25):
        chart = parse_chart(text)
        found = solo(chart, lane="plain", hand=HAND)
        if found.octaves == 0:
            assert round(1000 * found.cost) == min(every_way(bars, tables)), text
        assert found.is_proven


@pytest.mark.parametrize("chords", ["strong", "bar", "all"])
def test_every_grip_has_its_note_on_top_and_is_within_the_hand(root, chords):
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    found = solo(chart, lane="plain", chords=chords)
    assert not found.troubles
    gripped = [slot for slot in found.slots if slot.is_chord]
    assert len(gripped) > 10
    for slot in found.slots:
        notes = [note for note in slot.grip.midi if note is not None]
        assert max(notes) == slot.pitch
        pressed = [fret for fret in slot.grip.frets if fret]
        assert not pressed or max(pressed) - min(pressed) <= CLOSED_HAND.max_stretch
        assert slot.is_chord == (len(notes) > 1)


def test_strong_notes_are_on_top_of_what_the_midi_sounds(root, tmp_path):
    """From the file, by mido: at every strong melody note's onset nothing sounds higher."""
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    choices = Choices(only=("solo",), humanize=0.0)
    take = take_from_chart(chart, choices)
    path = tmp_path / "solo.mid"
    take.write_midi(path)
    melody = []
    for bar in unroll(chart, lane="swing").bars:
        at = bar.start_beats
        for note in bar.melody:
            if note.pitch is not None:
                melody.append((float(at), note.pitch, at == bar.start_beats))
            at += note.beats
    file = mido.MidiFile(path)
    onsets: dict[float, list[int]] = {}
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += message.time
            if message.type == "note_on" and message.velocity and message.channel != 9:
                onsets.setdefault(tick / file.ticks_per_beat, []).append(message.note)
    first = min(onsets)
    strong = 0
    for at, pitch, is_strong in melody:
        near = [
            note for beat, notes in onsets.items() if abs(beat - first - at) < 0.24
            for note in notes
        ]  # fmt: skip
        assert near, at
        assert max(near) == pitch, (at, near, pitch)
        strong += is_strong
        assert not is_strong or len(near) > 1
    assert strong == 16


def test_out_of_reach_is_said_with_bar_and_remedy():
    chart = parse_chart("[A]\nplain | C | F |\nmelody | C2:2 C6:2 | F4:4 |")
    found = solo(chart, lane="plain")
    assert found.troubles
    assert "bar 1" in found.troubles[0]
    low = parse_chart("[A]\nplain | C | F |\nmelody | A3:4 | A5:4 |")
    assert any("GCEA" in trouble for trouble in solo(low, lane="plain").troubles)


def test_a_chart_without_a_tune_is_refused():
    with pytest.raises(GripError, match="no melody to arrange"):
        solo(parse_chart("[A]\n| C | F |"))
    with pytest.raises(OptionError, match="no melody"):
        take_from_chart(parse_chart("[A]\n| C | F |"), Choices(melody_on_top=True))


def test_tablature_facts_and_parts_agree(root):
    path = str(root / "demos" / "moth_at_the_window.changes")
    facts = json.loads(CliRunner().invoke(group, ["grips", path, "--melody", "--json"]).stdout)
    lead = reharmonize(read_chart(path))
    found = solo(lead)
    assert [note["frets"] for note in facts["notes"]] == [
        list(slot.grip.frets) for slot in found.slots
    ]
    text = tablature(found, unroll(chart_of(lead), lane="swing"))
    shown = CliRunner().invoke(group, ["grips", path, "--melody"]).output
    assert shown.strip() == text.strip()
    first = found.slots[0]
    row = next(line for line in text.splitlines() if line.startswith("E |"))
    assert row.split("|")[1].strip("-").startswith(str(first.grip.frets[2]))


def test_the_tune_on_top_takes_the_place_of_the_chords(root):
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    parts = take_from_chart(chart, Choices(melody_on_top=True)).parts
    assert "solo" in parts
    assert "chords" not in parts


def test_the_drawing_has_every_fret_of_the_arrangement(root, tmp_path):
    path = str(root / "demos" / "moth_at_the_window.changes")
    result = CliRunner().invoke(group, ["grips", path, "--melody", "--svg", str(tmp_path / "tab")])
    assert result.exit_code == 0, result.output
    found = solo(reharmonize(read_chart(path)))
    for section in ("A", "B"):
        svg = fromstring((tmp_path / "tab" / f"melody_{section}.svg").read_text(encoding="utf-8"))
        drawn = [
            element.text
            for element in svg.iter("{http://www.w3.org/2000/svg}text")
            if element.get("font-size") == "13"
        ]
        wanted = [
            str(fret)
            for slot in found.slots
            if slot.section == section
            for fret in slot.grip.frets
            if fret is not None
        ]
        assert sorted(drawn) == sorted(wanted)


@pytest.mark.parametrize("choruses", [1, 2, 3])
def test_the_tune_is_played_in_every_chorus_though_the_last_has_other_chords(choruses):
    text = "title: Sung\nkey: C\n[A]\nplain | C | G7 |\nmelody | E4:2 G4:2 | G4:3 r:1 |\n"
    choices = Choices().with_values({"melody_on_top": True, "choruses": choruses})
    take = take_from_chart(parse_chart(text), choices)
    (part,) = (part for part in take.score.parts if part.name == "solo")
    struck = sorted({stroke.onset_beats for stroke in part.events})
    assert len(struck) == 3 * choruses


WINDOWSILL = """title: Windowsill
key: C
tempo: 120
form: A A B A
[A]
plain | C6 | A7 | Dm7 | G7 | C6 | C7 | F6 G7 | C6 |
melody | E5:2 D5:1 C5:1 | C#5:2 E5:2 | D5:1 F5:1 A5:2 | G5:2 F5:2 |
melody | E5:2 G5:2 | Bb4:2 C5:2 | A4:2 B4:2 | C5:3 r:1 |
[B]
plain | F6 | Fm6 | C6 | A7 | D7 | D7 | G7 | G7 |
melody | A4:2 C5:2 | Ab4:2 C5:2 | G4:2 E5:2 | E5:2 C#5:2 |
melody | F#5:2 A4:2 | D5:3 C5:1 | B4:2 D5:2 | F5:2 G5:2 |
"""


@pytest.mark.parametrize("lane", ["plain", "swing"])
def test_nothing_that_still_rings_is_above_the_strong_notes_of_32_bars(lane, tmp_path):
    """From the file, by mido, notes held from before included."""
    chart = parse_chart(WINDOWSILL)
    path = tmp_path / "solo.mid"
    take_from_chart(chart, Choices(only=("solo",), humanize=0.0, lane=lane)).write_midi(path)
    file = mido.MidiFile(path)
    held: list[tuple[float, float, int]] = []
    for track in file.tracks:
        tick, down = 0, {}
        for message in track:
            tick += message.time
            if message.type not in {"note_on", "note_off"}:
                continue
            key = message.channel, message.note
            if message.type == "note_on" and message.velocity:
                down[key] = tick / file.ticks_per_beat
            elif key in down:
                held.append((down.pop(key), tick / file.ticks_per_beat, message.note))
    first = min(start for start, _, _ in held)
    strong = 0
    for bar in unroll(chart, lane="plain").bars:
        at = bar.start_beats
        for note in bar.melody:
            if note.pitch is not None and (at - bar.start_beats) % 2 == 0:
                moment = first + float(at) + 0.24  # the last string of a stroke has sounded
                ringing = [pitch for start, end, pitch in held if start <= moment < end]
                assert max(ringing) == note.pitch, (lane, bar.section, bar.bar, ringing)
                assert len(ringing) > 1
                strong += 1
            at += note.beats
    assert strong == 60
