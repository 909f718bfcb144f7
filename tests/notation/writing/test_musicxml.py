"""Scores are valid MusicXML 4.0, and music21 reads back what was written.

Fret diagrams are read back from the XML itself: music21 10 skips them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pytest
from hypothesis import HealthCheck, given, settings

from notation.conftest import Exported
from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError
from porchswing.lesson.chart_score import notated_score
from porchswing.notation.writing.musicxml import score_musicxml
from porchswing.notation.writing.written_parts import NotatedLane
from porchswing.options import Choices
from porchswing.take import choose_solo, lead_of, road_of
from support.strategies import charts


def part_named(text: str, words: str) -> Element:
    score = fromstring(text)
    found = [p for p in score.iter("score-part") if words in (p.findtext("part-name") or "")]
    return next(part for part in score.iter("part") if part.get("id") == found[0].get("id"))


def music21_score(text: str) -> Any:
    from music21 import converter

    return converter.parseData(text, format="musicxml")


read_once = cache(music21_score)
"""The same for tests that change nothing in it: reading a demo takes seconds."""


def part_of(score: Any, words: str) -> Any:
    return next(part for part in score.parts if words in part.partName)


def test_scores_are_valid(exported: Exported, assert_valid: Callable[[str], None]) -> None:
    assert_valid(exported.text)


@pytest.mark.parametrize("lane", ["swing", "plain"])
def test_music21_reads_the_same_harmony(need_module, exported: Exported, lane: str) -> None:
    need_module("music21")
    chart = exported.swing if lane == "swing" else exported.plain
    road = unroll(chart, lane)
    wanted = [
        (bar.start_beats + sum((s.beats for s in bar.slots[:index]), Fraction(0)), slot.chord)
        for bar in road.bars
        for index, slot in enumerate(bar.slots)
    ]
    part = part_of(read_once(exported.text), f"{lane} lane")
    symbols = list(part.recurse().getElementsByClass("Harmony"))
    assert len(symbols) == len(wanted)
    for (start, chord), symbol in zip(wanted, symbols, strict=True):
        measure = symbol.getContextByClass("Measure")
        assert Fraction(measure.offset + symbol.offset) == start
        assert chord is not None
        assert symbol.root().name.replace("-", "b") == str(chord.root)
        assert symbol.bass().name.replace("-", "b") == str(chord.bass_note)
        names = {pitch.name.replace("-", "b") for pitch in symbol.pitches}
        assert names - {str(chord.bass_note)} == {str(n) for n in chord.notes} - {
            str(chord.bass_note)
        }


@pytest.mark.parametrize("words", ["swing lane", "plain lane", "Line"])
def test_music21_reads_full_measures(need_module, exported: Exported, words: str) -> None:
    need_module("music21")
    road = unroll(exported.swing, "swing")
    measures = list(part_of(read_once(exported.text), words).getElementsByClass("Measure"))
    assert len(measures) == len(road.bars)
    for measure, bar in zip(measures, road.bars, strict=True):
        lengths = [Fraction(n.quarterLength).limit_denominator(1000) for n in measure.notesAndRests
                   if "Harmony" not in n.classes]  # fmt: skip
        assert sum(lengths) == bar.beats


def test_the_line_is_what_its_string_plays(need_module, exported: Exported) -> None:
    need_module("music21")
    part = part_of(read_once(exported.text), "Line on string")
    string = int(part.partName.split()[-1])
    road = unroll(exported.swing, "swing")
    voicing = exported.grips["swing"]
    index = voicing.tuning.index(string)
    wanted = [
        slot.grip.midi[index]
        for bar in road.bars
        for slot in voicing.voiced(bar)
        if slot.grip is not None
    ]
    notes = [note for note in part.recurse().notes if note.tie is None or note.tie.type == "start"]
    assert [note.pitch.midi for note in notes] == wanted
    frets = [
        int(n.findtext(".//technical/fret") or -1)
        for n in part_named(exported.text, "Line").iter("note")
    ]
    strings = {
        n.findtext(".//technical/string") for n in part_named(exported.text, "Line").iter("note")
    }
    assert [fret for fret in frets if fret >= 0] == [
        midi - voicing.tuning.open_midi[index] for midi in wanted
    ]
    assert strings <= {str(string), None}


@pytest.mark.parametrize("lane", ["swing", "plain"])
def test_frames_are_the_grips(exported: Exported, lane: str) -> None:
    chart = exported.swing if lane == "swing" else exported.plain
    voicing = exported.grips[lane]
    wanted = [slot.grip for bar in unroll(chart, lane).bars for slot in voicing.voiced(bar)]
    harmonies = list(part_named(exported.text, f"{lane} lane").iter("harmony"))
    assert len(harmonies) == len(wanted)
    for grip, harmony in zip(wanted, harmonies, strict=True):
        frame = harmony.find("frame")
        assert grip is not None
        assert frame is not None
        assert frame.findtext("frame-strings") == str(voicing.tuning.strings)
        frets: list[int | None] = [None] * voicing.tuning.strings
        for note in frame.iter("frame-note"):
            string, fret = int(note.findtext("string") or 0), int(note.findtext("fret") or 0)
            frets[voicing.tuning.strings - string] = fret
            shown = int(frame.findtext("first-fret") or 1)
            assert fret == 0 or shown <= fret < shown + int(frame.findtext("frame-frets") or 0)
        assert tuple(frets) == grip.frets
        starts = [b.get("type") for b in frame.iter("barre")]
        assert starts.count("start") == starts.count("stop")


def test_a_reader_plays_the_signs_right(exported: Exported) -> None:
    """Read as a player does: the key's signs, then those written earlier in the measure."""
    signs = {"flat-flat": -2, "flat": -1, "natural": 0, "sharp": 1, "double-sharp": 2}
    sharps = exported.swing.key.signature
    order = "FCGDAEB" if sharps > 0 else "BEADGCF"
    key = dict.fromkeys(order[: abs(sharps)], 1 if sharps > 0 else -1)
    for words in ("Line", "Melody"):
        if words not in exported.text:
            continue
        for measure in part_named(exported.text, words).iter("measure"):
            written: dict[tuple[str, str], int] = {}
            for note in measure.iter("note"):
                step, octave = note.findtext("pitch/step"), note.findtext("pitch/octave")
                if step is None or octave is None or note.find("tie[@type='stop']") is not None:
                    continue
                sign = note.findtext("accidental")
                if sign is not None:
                    written[step, octave] = signs[sign]
                read = written.get((step, octave), key.get(step, 0))
                assert read == int(note.findtext("pitch/alter") or 0)


def test_every_sign_is_one_that_music21_shows(need_module, exported: Exported) -> None:
    need_module("music21")
    score = music21_score(exported.text)
    part = part_of(score, "Line")
    ours = [
        note.findtext("accidental")
        for note in part_named(exported.text, "Line").iter("note")
        if note.find("pitch") is not None
    ]
    notes = list(part.recurse().notes)
    for note in notes:
        if note.pitch.accidental is not None:
            note.pitch.accidental.displayStatus = None
    part.makeAccidentals(inPlace=True)
    for sign, note in zip(ours, notes, strict=True):
        if sign is not None:
            assert note.pitch.accidental is not None
            assert note.pitch.accidental.displayStatus
            assert note.pitch.accidental.name == sign


def test_swing_and_tempo_are_said() -> None:
    text = notated_score(parse_chart("tempo: 150\nswing: 2:1\n[A]\n| F | C7 |"), Choices())
    sound = next(fromstring(text).iter("sound"))
    assert sound.get("tempo") == "150"
    assert [sound.findtext(f"swing/{tag}") for tag in ("first", "second", "swing-type")] == [
        "2", "1", "eighth"
    ]  # fmt: skip
    straight = notated_score(parse_chart("swing: straight\n[A]\n| F | C7 |"), Choices())
    assert next(fromstring(straight).iter("sound")).find("swing/straight") is not None
    compound = notated_score(parse_chart("meter: 6/8\ntempo: 60\n[A]\n| F | C7 |"), Choices())
    assert fromstring(compound).find(".//beat-unit-dot") is not None
    assert next(fromstring(compound).iter("sound")).get("tempo") == "90"


def test_strokes_and_section_names_are_there(exported: Exported) -> None:
    lane = part_named(exported.text, "swing lane")
    notes = [note for note in lane.iter("note") if note.find("unpitched") is not None]
    assert notes
    heads = {note.findtext("notehead") for note in notes}
    assert heads <= {"slash", "x"}
    assert lane.find(".//technical/down-bow") is not None
    names = [mark.text for mark in lane.iter("rehearsal")]
    visits = []
    for bar in unroll(exported.swing).bars:
        if not visits or visits[-1] != (bar.section, bar.pass_number):
            visits.append((bar.section, bar.pass_number))
    assert names == [section for section, _ in visits]


def test_titles_are_escaped(assert_valid: Callable[[str], None]) -> None:
    chart = parse_chart("title: <b>&\"'\u2028 ]]> \ufffe\nby: <script>\n[A]\n| F | N.C. |")
    text = notated_score(chart, Choices())
    assert_valid(text)
    assert fromstring(text).findtext("work/work-title", "").startswith("<b>&\"'")
    assert fromstring(text).findtext(".//creator") == "<script>"
    assert "<script>" not in text


@settings(
    max_examples=12,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(chart=charts())
def test_any_chart_is_valid(assert_valid: Callable[[str], None], chart: Chart) -> None:
    lanes = [NotatedLane(lane, unroll(chart, lane)) for lane in ("swing", "plain")]
    text = score_musicxml(chart, lanes)
    assert_valid(text)
    roots = [root.text for root in part_named(text, "plain lane").iter("root-step")]
    assert len(roots) == sum(len(bar.slots) for bar in unroll(chart).bars)


def test_what_is_missing_is_said() -> None:
    chart = parse_chart("[A]\n| F |")
    lane = NotatedLane("plain", unroll(chart))
    with pytest.raises(OptionError, match="at least one lane"):
        score_musicxml(chart, [])
    with pytest.raises(OptionError, match="no grips"):
        score_musicxml(chart, [lane], line_string=1)
    from porchswing.grips.search.voice import voice

    voicing = voice(chart, lane="plain", grips="open")
    with pytest.raises(OptionError, match="strings are 1 to 4, got 9"):
        score_musicxml(chart, [replace(lane, voicing=voicing)], line_string=9)


def test_chord_melody_is_a_staff_of_tablature(
    root: Path, assert_valid: Callable[[str], None]
) -> None:
    """Every onset has the arrangement's strings and frets, the tune's note the highest."""
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    choices = Choices(melody_on_top=True)
    text = notated_score(chart, choices)
    assert_valid(text)
    part = part_named(text, "Chord melody")
    assert part.findtext(".//clef/sign") == "TAB"
    assert [t.findtext("tuning-step") for t in part.iter("staff-tuning")] == list("GCEA")
    lead = lead_of(chart, choices)
    arranged = choose_solo(lead, choices)
    road = road_of(lead.chart, choices)
    wanted = [
        {(4 - index, fret) for index, fret in enumerate(slot.grip.frets) if fret is not None}
        for bar in road.bars
        for slot in arranged.of_bar(bar)
    ]
    found: list[set[tuple[int, int]]] = []
    for note in part.iter("note"):
        if note.find("rest") is not None or note.find("tie[@type='stop']") is not None:
            continue
        stopped = int(note.findtext(".//string")), int(note.findtext(".//fret"))
        if note.find("chord") is None:
            found.append({stopped})
        else:
            found[-1].add(stopped)
    assert found == wanted


def test_music21_reads_the_tune_on_top(need_module, root: Path) -> None:
    need_module("music21")
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    text = notated_score(chart, Choices(melody_on_top=True))
    melody = [
        note.pitch
        for bar in unroll(chart, "plain").bars
        for note in bar.melody
        if note.pitch is not None
    ]
    score = music21_score(text)
    part = part_of(score, "Chord melody")
    tops = [max(p.midi for p in note.pitches) for note in part.recurse().notes
            if note.tie is None or note.tie.type == "start"]  # fmt: skip
    assert tops == melody


def test_marks_stand_in_the_score_and_come_back(
    need_module, tmp_path: Path, assert_valid: Callable[[str], None]
) -> None:
    """Signs as MusicXML 4.0 has them (tied-type let-ring, articulations); words beside them."""
    need_module("music21")
    from porchswing.notation.reading.importing import import_lead_sheet

    lane = "| F{hold} Dm7{push} | Gm7{slide,roll} C7{stop} | F F7{fall} | Bb{chuck} |"
    chart = parse_chart(f"key: F\n[A]\nplain {lane}\nswing {lane}\n")
    for text in (
        notated_score(chart, Choices()),
        score_musicxml(chart, [NotatedLane(one, unroll(chart, one)) for one in ("swing", "plain")]),
    ):
        assert_valid(text)
        part = part_named(text, "swing lane")
        for sign in ("tied[@type='let-ring']", "scoop", "arpeggiate", "falloff", "staccatissimo"):
            assert part.find(f".//notations//{sign}") is not None, sign
        assert [each.text for each in part.iter("words") if each.text] == [
            "let it ring", "an eighth early", "slide in, roll", "stop short", "fall off", "chuck"
        ]  # fmt: skip
        assert "x" in {note.findtext("notehead") for note in part.iter("note")}
        path = tmp_path / "marks.musicxml"
        path.write_text(text, encoding="utf-8")
        found = import_lead_sheet(path)
        for name in ("plain", "swing"):
            marks = [slot.marks for bar in found.chart.sections[0].lane(name) for slot in bar.slots]
            assert marks == [s.marks for bar in chart.sections[0].lane(name) for s in bar.slots]
        assert not any("'scoop" in line or "let it" in line for line in found.left_out)
