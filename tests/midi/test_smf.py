"""MIDI files against the standard, and read back by programs we did not write."""

from __future__ import annotations

import math
import subprocess
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from io import BytesIO

import mido
import pytest

from porchswing.audio.mix import desk
from porchswing.audio.synth.voices import PLUCKED
from porchswing.band.score import Hit, Label, PartScore, Stroke
from porchswing.errors import OptionError
from porchswing.grips.shapes.model import Grip
from porchswing.midi import gm
from porchswing.midi.gm import CHANNELS, PERCUSSION_CHANNEL, PROGRAMS, SILENT_ON_GM1
from porchswing.midi.smf import ascii_text, key_signature, midi_bytes
from porchswing.performance.model import Mark, Performance
from porchswing.performance.perform import perform
from support import made

# RP-001, Standard MIDI Files 1.0, appendix "Program Fragments and Example MIDI Files"
RP001_FORMAT_0 = bytes.fromhex(
    "4D546864 00000006 0000 0001 0060 4D54726B 0000003B 00FF580404021808 00FF510307A120 00C005"
    "00C12E 00C246 00923060 003C60 60914340 60904C20 8140823040 003C40 00814340 00804C40 00FF2F00"
)
RP001_FORMAT_1 = bytes.fromhex(
    "4D546864 00000006 0001 0004 0060 4D54726B 00000014 00FF580404021808 00FF510307A120 8300FF2F00"
    "4D54726B 00000010 00C005 8140904C20 81404C00 00FF2F00 4D54726B 0000000F 00C12E 60914340"
    "82204300 00FF2F00 4D54726B 00000015 00C246 00923060 003C60 83003000 003C00 00FF2F00"
)
# RP-001, "variable-length quantity", table of examples
RP001_VLQ = {
    0x00: "00",
    0x40: "40",
    0x7F: "7F",
    0x80: "8100",
    0x2000: "C000",
    0x3FFF: "FF7F",
    0x4000: "818000",
    0x1FFFFF: "FFFF7F",
    0x200000: "81808000",
    0x0FFFFFFF: "FFFFFF7F",
}


@pytest.fixture(scope="module")
def take() -> Performance:
    return perform(made.score_of())


def parsed(data: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=BytesIO(data))


def csv_rows(data: bytes, program: str) -> list[list[str]]:
    done = subprocess.run([program, "-"], input=data, capture_output=True, check=True)
    return [line.split(", ") for line in done.stdout.decode("latin-1").splitlines()]


@pytest.mark.parametrize("golden", [RP001_FORMAT_0, RP001_FORMAT_1], ids=["format 0", "format 1"])
def test_the_standards_own_example_files_survive_our_file_writer_byte_for_byte(golden):
    file = parsed(golden)
    assert file.length == pytest.approx(2.0, abs=1e-9)  # the example's two seconds
    again = BytesIO()
    file.save(file=again)
    assert again.getvalue() == golden


@pytest.mark.parametrize(("ticks", "quantity"), RP001_VLQ.items())
def test_delta_times_are_written_as_the_standard_shows(ticks, quantity):
    file = mido.MidiFile(type=0)
    file.tracks.append(mido.MidiTrack([mido.MetaMessage("end_of_track", time=ticks)]))
    data = BytesIO()
    file.save(file=data)
    expected = bytes.fromhex(quantity) + b"\xff\x2f\x00"
    assert data.getvalue()[14 + 8 :] == expected


def test_meter_tempo_and_key_bytes_are_those_of_the_standard():
    score = made.hand_made(made.rides(8), quarter_bpm=120.0, key="F")
    data = midi_bytes(perform(score, humanize=0))
    for written in ("FF510307A120", "FF580404021808", "FF5902FF00"):  # RP-001; FF 59 sf mi
        assert bytes.fromhex(written) in data


@pytest.mark.parametrize("file_format", [0, 1])
def test_midicsv_reads_a_valid_file(take, file_format, need_program):
    rows = csv_rows(midi_bytes(take, file_format=file_format), need_program("midicsv"))
    tracks = int(rows[0][4])
    assert rows[0] == ["0", "0", "Header", str(file_format), str(tracks), "960"]
    assert tracks == (1 if file_format == 0 else 1 + len(take.parts))
    kinds = [row[2] for row in rows]
    assert kinds.count("End_track") == tracks
    for index, row in enumerate(rows):
        if row[2] == "End_track":  # last of its track
            assert rows[index + 1][2] in {"Start_track", "End_of_file"}
        if row[2] in {"Tempo", "Time_signature", "Key_signature", "Marker_t"}:
            assert row[0] == "1"  # the tempo map stands in the first track


@pytest.mark.parametrize("file_format", [0, 1])
@pytest.mark.parametrize("channel_per_string", [False, True])
def test_every_note_that_begins_ends_before_it_begins_again(
    take, file_format, channel_per_string, need_program
):
    data = midi_bytes(take, file_format=file_format, channel_per_string=channel_per_string)
    sounding: Counter[tuple[str, ...]] = Counter()
    for row in csv_rows(data, need_program("midicsv")):
        if row[2] == "Note_on_c" and row[5] != "0":
            key = (row[0], row[3], row[4])
            sounding[key] += 1
            assert sounding[key] == 1, f"{key} sounds twice at tick {row[1]}"
        elif row[2] in {"Note_off_c", "Note_on_c"}:
            key = (row[0], row[3], row[4])
            sounding[key] -= 1
            assert sounding[key] == 0, f"{key} ends before it began at tick {row[1]}"
    assert not any(sounding.values())


def test_at_one_tick_notes_end_before_notes_begin(take):
    for track in parsed(midi_bytes(take)).tracks:
        began = False
        for message in track:
            began = began and message.time == 0
            if message.type == "note_on":
                began = True
            assert not (began and message.type == "note_off")


def test_pretty_midi_hears_the_same_notes(take, need_module):
    need_module("pretty_midi")
    pretty_midi = pytest.importorskip("pretty_midi")
    heard = pretty_midi.PrettyMIDI(BytesIO(midi_bytes(take, channel_per_string=True)))
    for name in ("bass", "drums", "count"):
        kept = [n for n in take.part(name).notes if n.piece not in SILENT_ON_GM1]
        played = sorted((n.onset_s, n.pitch, n.end_s) for n in kept)
        found = sorted(
            (n.start, n.pitch, n.end) for i in heard.instruments if i.name == name for n in i.notes
        )
        assert [p for _, p, _ in found] == [p for _, p, _ in played]
        for (start, _, end), (onset_s, _, end_s) in zip(found, played, strict=True):
            assert start == pytest.approx(onset_s, abs=1e-6)
            assert end == pytest.approx(end_s, abs=1e-6)
    strummed = [n for i in heard.instruments if i.name == "chords" for n in i.notes]
    assert len(strummed) == len(take.part("chords").notes)
    assert heard.key_signature_changes[0].key_number == 5  # F major
    assert [t.text for t in heard.text_events][:3] == ["F", "Dm7", "Gm7"]


def test_music21_reads_tempo_meter_key_and_notes(need_module):
    need_module("music21")
    from music21 import converter, meter, tempo

    score = made.hand_made(made.walks([41, 43, 45, 46, 48, 46, 45, 43]), quarter_bpm=96, key="F")
    stream = converter.parse(midi_bytes(perform(score, humanize=0)), format="midi")
    flat = stream.flatten()
    assert [note.pitch.midi for note in flat.notes] == [41, 43, 45, 46, 48, 46, 45, 43]
    assert [float(note.offset) for note in flat.notes] == list(range(8))
    assert next(iter(flat[meter.TimeSignature])).ratioString == "4/4"
    assert next(iter(flat[tempo.MetronomeMark])).number == pytest.approx(96, abs=0.01)
    assert flat.keySignature.sharps == -1


def test_general_midi_numbers_are_the_standards():
    # General MIDI System Level 1: program 25 is nylon guitar, 33 acoustic bass (counted from
    # 1); percussion on channel 10: 37 side stick, 51 ride, 44 pedal hat, 76/77 wood blocks
    score = made.hand_made(
        made.walks([40]), made.strums((5, 5, 5, 5)), _kit("ride", "hat_pedal", "side_stick")
    )
    file = parsed(midi_bytes(perform(score, humanize=0)))
    programs = {m.program for t in file.tracks for m in t if m.type == "program_change"}
    assert programs == {24, 32}
    drums = [m for t in file.tracks if t.name == "drums" for m in t if m.type == "note_on"]
    assert {m.channel for m in drums} == {9}
    assert [m.note for m in drums] == [51, 44, 37]
    assert PERCUSSION_CHANNEL not in CHANNELS
    assert all(0 <= p.program < 128 for p in PROGRAMS.values())


def test_the_count_in_has_its_own_track_on_level_1_keys(take):
    file = parsed(midi_bytes(take))
    count = next(track for track in file.tracks if track.name == "count")
    keys = {m.note for m in count if m.type == "note_on"}
    assert keys <= {37, 76, 77}  # 33 and 34 exist in General MIDI 2 only
    assert len(keys) > 0
    music_tick = round(take.music_start_s / take.tempo_events[0].us_per_quarter * 1e6 * 960)
    assert sum(m.time for m in count if m.type != "end_of_track") <= music_tick


def test_general_midi_2_by_option_asks_for_ukulele_and_brushes(take):
    # General MIDI 2: bank select 121/1 program 24 (from 0) ukulele, 120/0 program 40 brush kit
    file = parsed(midi_bytes(take, gm2=True))
    setups = {track.name: [m for m in track if m.type != "note_on"] for track in file.tracks}
    assert _setup(setups["chords"]) == [(0, 121), (32, 1), 24]
    assert _setup(setups["bass"]) == [(0, 121), (32, 0), 32]
    assert _setup(setups["drums"]) == [(0, 120), (32, 0), 40]
    assert _setup(setups["count"]) == []  # it shares the drums' channel, and so their kit
    drums = next(track for track in file.tracks if track.name == "drums")
    assert {38, 40} <= {m.note for m in drums if m.type == "note_on"}  # tap and swirl


def test_brush_sweeps_are_written_only_where_a_set_has_them(take):
    # General MIDI 1's key 70 is maracas, 40 an electric snare: neither is a brush on a skin
    played = [note for note in take.part("drums").notes if note.piece == "brush_sweep"]
    assert played
    files = {gm2: parsed(midi_bytes(take, gm2=gm2)) for gm2 in (False, True)}
    keys = {
        gm2: [m.note for t in file.tracks if t.name == "drums" for m in t if m.type == "note_on"]
        for gm2, file in files.items()
    }
    slaps = sum(note.piece == "brush_slap" for note in take.part("drums").notes)
    assert 70 not in keys[False]
    assert keys[False].count(40) == slaps
    assert keys[True].count(40) == len(played)


def test_volume_and_pan_carry_the_desks_balance_and_places(take):
    """Controller 7 is 40 log10(v/127) dB, controller 10 has its middle at 64 (General MIDI)."""
    file = parsed(midi_bytes(take))
    found = {}
    for track in file.tracks:
        controls = {m.control: m.value for m in track if m.type == "control_change"}
        if 7 in controls:
            found[track.name] = (controls[7], controls[10])
    assert set(found) == {"chords", "bass", "drums"}  # the count shares the drums' channel
    assert found["chords"][0] == 100  # what a General MIDI receiver starts with (from memory)
    for name, (volume, pan) in found.items():
        seat, chords = desk.PARTS[name], desk.PARTS["chords"]
        level_db = 40 * math.log10(volume / found["chords"][0])
        assert level_db == pytest.approx(seat.level_db - chords.level_db, abs=0.2)
        assert (pan - 64) / 63 == pytest.approx(seat.pan, abs=0.01)


def test_the_table_of_seats_is_the_desks():
    assert {name: tuple(seat) for name, seat in gm.SEATS.items()} == {
        name: (seat.level_db, seat.pan) for name, seat in desk.PARTS.items()
    }


def test_pan_is_rounded_to_the_nearest_of_63_places_on_either_side():
    for name, seat in desk.PARTS.items():
        assert abs(gm.pan(name) - 64 - 63 * seat.pan) <= 0.5


def test_every_voice_of_the_synth_has_its_program():
    # General MIDI System Level 1, from 1: 25 nylon guitar, 26 steel guitar, 33 bass, 106 banjo
    assert set(PROGRAMS) == set(gm.PROGRAMS_GM2) == set(PLUCKED)
    assert PROGRAMS["tenor banjo"].program == 105
    assert {PROGRAMS[name].program for name in PLUCKED if "ukulele" in name} == {24}
    assert gm.PROGRAMS_GM2["soprano"] == gm.UKULELE_GM2
    take = perform(made.hand_made(made.strums((5, 5, 5, 5))), humanize=0)
    part = replace(take.part("chords"), instrument="tenor banjo")
    file = parsed(midi_bytes(replace(take, parts=(part,))))
    assert [m.program for t in file.tracks for m in t if m.type == "program_change"] == [105]


def test_a_slide_bends_the_wheel_after_setting_its_range():
    score = made.hand_made(
        made.strums((5, 5, 5, 5), (7, 7, 7, 7), slide_frets=-2, glide_beats=Fraction(1, 4)),
        beats=2,
    )
    track = parsed(midi_bytes(perform(score, humanize=0))).tracks[1]
    controls = [(m.control, m.value) for m in track if m.type == "control_change"]
    # RPN 0 is pitch bend sensitivity (MIDI 1.0 detailed specification): semitones, cents, null
    assert controls[2:] == [(101, 0), (100, 0), (6, 2), (38, 0), (101, 127), (100, 127)]
    wheel = [m.pitch for m in track if m.type == "pitchwheel"]
    assert wheel[0] == -8192  # two semitones below, at a range of two
    first_wheel, first_note = (
        next(i for i, m in enumerate(track) if m.type == kind) for kind in ("pitchwheel", "note_on")
    )
    assert first_wheel < first_note
    assert wheel[-1] == 0
    assert wheel.count(-8192) == 2  # once for each stroke


def test_a_slide_is_written_though_the_chord_before_rings_into_its_spread():
    before = Stroke(Fraction(0), Fraction(2), Grip((5, 5, 5, 5), made.UKULELE), let_ring=True)
    slide = Stroke(Fraction(1), Fraction(1), Grip((7, 7, 7, 7), made.UKULELE), slide_frets=-2)
    part = PartScore("chords", (before, slide))
    track = parsed(midi_bytes(perform(made.hand_made(part, beats=2), humanize=0))).tracks[1]
    assert [m.pitch for m in track if m.type == "pitchwheel"] == [-8192, 0]
    ringing = Stroke(Fraction(1), Fraction(1), Grip((7, 7, 7, 7), made.UKULELE), strings=(1, 2))
    part = PartScore("chords", (before, replace(ringing, slide_frets=-2)))
    track = parsed(midi_bytes(perform(made.hand_made(part, beats=2), humanize=0))).tracks[1]
    assert not [m for m in track if m.type == "pitchwheel"]  # strings 4 and 3 would bend too


def test_a_channel_for_every_string_keeps_unisons_apart():
    # on gCEA, 0232 sounds G4 on strings 4 and 2
    score = made.hand_made(made.strums((0, 2, 3, 2)), beats=2)
    shared = parsed(midi_bytes(perform(score, humanize=0))).tracks[1]
    assert [m.note for m in shared if m.type == "note_on"] == [67, 62, 71]
    apart = parsed(midi_bytes(perform(score, humanize=0), channel_per_string=True)).tracks[1]
    ons = [(m.channel, m.note) for m in apart if m.type == "note_on"]
    assert ons == [(0, 67), (1, 62), (2, 67), (3, 71)]  # the first channel is string 4's


def test_texts_are_printable_ascii_and_stand_where_they_belong():
    labels = (
        Label(Fraction(0), "section", "Café"),
        Label(Fraction(0), "chord", "Bb7"),
        Label(Fraction(4), "key", "G minor"),
    )
    score = made.hand_made(made.rides(8), labels=labels, count_in_beats=4)
    conductor = parsed(midi_bytes(perform(score, humanize=0))).tracks[0]
    at, found = 0, []
    for message in conductor:
        at += message.time
        found.append((at, message.type, getattr(message, "text", getattr(message, "key", ""))))
    assert (3840, "marker", "Cafe") in found
    assert (3840, "text", "Bb7") in found
    assert (7680, "key_signature", "Gm") in found
    assert ascii_text("Δ7 “ø” ♯9\n") == 'maj7 "m7b5" #9?'
    assert ascii_text(" ~ \x7f ж") == " ~ ? ?"  # from the first printable sign to the last


# the circle of fifths from seven flats to seven sharps, as in any harmony handbook
MAJOR_TONICS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
MINOR_TONICS = ["Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"]


def test_every_key_has_a_signature_a_file_can_hold():
    for mode, tonics in (("", MAJOR_TONICS), (" minor", MINOR_TONICS)):
        for sharps, tonic in enumerate(tonics, start=-7):
            name = key_signature(tonic + mode)
            data = bytes(mido.MetaMessage("key_signature", key=name).bytes())
            assert data == bytes([0xFF, 0x59, 2, sharps % 256, 1 if mode else 0])


def test_an_unknown_format_is_refused(take):
    with pytest.raises(OptionError, match="must be 0 or 1, got 2"):
        midi_bytes(take, file_format=2)


def test_more_strings_than_channels_is_an_error_not_a_wrong_file(take):
    chords = take.part("chords")
    crowd = tuple(replace(chords, name=f"chords {n}") for n in range(4))
    with pytest.raises(OptionError, match="channels"):
        midi_bytes(replace(take, parts=crowd), channel_per_string=True)


def test_ticks_stand_for_seconds_without_drift(take, need_program):
    rows = csv_rows(midi_bytes(take), need_program("midicsv"))
    end = next(int(row[1]) for row in rows if row[0] == "1" and row[2] == "End_track")
    us = int(next(row[3] for row in rows if row[2] == "Tempo"))
    assert end * us / 960e6 == pytest.approx(take.end_s, abs=1e-9)


def test_every_track_ends_with_the_take():
    data = midi_bytes(perform(made.hand_made(made.rides(4), made.walks([40] * 8)), humanize=0))
    tracks = parsed(data).tracks
    assert [sum(message.time for message in track) for track in tracks] == [8 * 960] * 3


def _kit(*pieces: str) -> PartScore:
    return PartScore("drums", tuple(Hit(Fraction(n), p) for n, p in enumerate(pieces)), "drums")


def _setup(messages: list[mido.Message]) -> list[object]:
    first: list[object] = []
    for message in messages:
        if message.type == "control_change" and message.control in {0, 32}:
            first.append((message.control, message.value))
        elif message.type == "program_change":
            return [*first, message.program]
    return first


@pytest.mark.parametrize(
    ("meter", "clocks"),
    [((4, 4), 24), ((3, 4), 24), ((6, 8), 36), ((12, 8), 36), ((3, 8), 12), ((5, 8), 12)],
)
def test_the_metronome_clicks_with_the_felt_beat(take, meter, clocks):
    # RP-001: MIDI clocks in a metronome click, 24 a quarter; a dotted quarter in 6/8 has 36
    first = parsed(midi_bytes(replace(take, meter=meter))).tracks[0]
    (signature,) = (m for m in first if m.type == "time_signature")
    assert signature.clocks_per_click == clocks


def test_a_key_that_stays_is_written_once(take):
    marks = tuple(Mark(960 * at, 0.5 * at, "key", key) for at, key in enumerate("FFCCF"))
    first = parsed(midi_bytes(replace(take, key="F", marks=marks))).tracks[0]
    assert [m.key for m in first if m.type == "key_signature"] == ["F", "C", "F"]
