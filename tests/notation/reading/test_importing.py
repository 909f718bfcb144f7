"""Lead sheets come in whole: music21's own corpus, scores we exported, ABC tunes.

The corpus stays where music21 installed it; none of it is copied here.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import unroll
from porchswing.errors import LeadSheetError, MissingExtraError
from porchswing.notation.reading.abc import STAND_INS, prepare_abc
from porchswing.notation.reading.importing import import_lead_sheet
from porchswing.notation.reading.sheet_guard import read_bounded
from support.lead_sheets import imported

pytestmark = pytest.mark.usefixtures("music21_there")


def corpus(name: str) -> Path:
    import music21

    return Path(music21.__file__).parent / "corpus" / name


def symbols(chart: Chart, lane: str = "plain") -> list[list[str]]:
    return [
        [slot.chord.symbol if slot.chord else "N.C." for slot in bar.slots]
        for section in chart.sections
        for bar in section.lane(lane)
    ]


@pytest.mark.parametrize(
    ("name", "count", "bars"),
    [("leadSheet/fosterBrownHair.mxl", 40, 35), ("leadSheet/berlinAlexandersRagtime.mxl", 19, 34)],
)
def test_lead_sheets_of_the_corpus_come_whole(name: str, count: int, bars: int) -> None:
    """Every chord symbol music21 finds stands in the chart, in order, and every melody note."""
    from music21 import converter

    path = corpus(name)
    part = converter.parse(path).parts[0]
    theirs = list(part.recurse().getElementsByClass("ChordSymbol"))
    assert len(theirs) == count
    chart = import_lead_sheet(path).chart
    section = chart.sections[0]
    assert len(section.plain) == bars
    wanted = [symbol.root().name.replace("-", "b") for symbol in theirs]
    placed: list[str] = []
    for symbol in theirs:
        measure = list(part.getElementsByClass("Measure")).index(
            symbol.getContextByClass("Measure")
        )
        start = Fraction(0)
        for slot in section.plain[measure].slots:
            if start <= symbol.offset < start + slot.beats:
                placed.append(str(slot.chord.root) if slot.chord else "N.C.")
            start += slot.beats
    assert placed == wanted
    pitches = [n.pitch.midi for n in part.recurse().notes if "Harmony" not in n.classes]
    ours = [note.pitch for bar in section.melody or () for note in bar if note.pitch is not None]
    tied = sum(
        n.tie is not None and n.tie.type != "start"
        for n in part.recurse().notes
        if n.tie is not None
    )
    assert len(pitches) - tied <= len(ours) <= len(pitches)
    assert [p for p in ours if p not in pitches] == []


def test_lead_sheet_repeats_and_remarks() -> None:
    found = import_lead_sheet(corpus("leadSheet/fosterBrownHair.mxl"))
    bars = found.chart.sections[0].plain
    assert bars[1].repeat_start
    assert (bars[31].ending, bars[32].repeat_times, bars[33].ending) == (1, 2, 2)
    assert len(unroll(found.chart).bars) == 33 + 30 + 2
    sung = [[word for bar in verse for word in bar] for verse in found.chart.sections[0].words]
    assert [len(verse) for verse in sung] == [91, 81], "as many as the file has lyric elements"
    assert not any("word" in line for line in found.left_out)
    assert any("changes sound in F" in line for line in found.left_out)
    assert str(found.chart.key) == "F", "the key that is heard, not the signature's C"


ABC = """\
X:1
T:Two <Little> Bars
C:Nobody
M:3/4
L:1/8
Q:1/4=96
K:Bb
"Bb7"d2 "F/C"c2 "Cm7b5"B2 | "E♭maj9"z4 "NC"f2 | "Gm"g4 "^above""C7""F7"f2 |\
 "A-7"e6 | f6 |: "Ab6/9"e6 |1 "Bb"B6 :|2 "Bb"d6 |]
w: not sung
"""


def test_abc_symbols_keep_their_flats(tmp_path: Path) -> None:
    found = imported(tmp_path, ABC)
    chart = found.chart
    assert symbols(chart) == [
        ["Bb7", "F/C", "Cm7b5"], ["Ebmaj9", "N.C."], ["Gm", "C7"], ["Am7"], ["Am7"], ["Ab6/9"],
        ["Bb"], ["Bb"],
    ]  # fmt: skip
    assert (chart.title, chart.by) == ("Two <Little> Bars", "Nobody")
    assert (str(chart.key), str(chart.meter), chart.tempo_bpm) == ("Bb", "3/4", 96.0)
    bars = chart.sections[0].plain
    assert bars[4].is_percent
    assert (bars[5].repeat_start, bars[6].ending, bars[6].repeat_times, bars[7].ending) == (
        True, 1, 2, 2
    )  # fmt: skip
    assert any("several chord symbols" in line for line in found.left_out)
    assert parse_chart(write_chart(chart)) == chart


def test_abc_minor_key_and_compound_meter(tmp_path: Path) -> None:
    chart = imported(tmp_path, 'X:1\nM:6/8\nL:1/8\nK:Dm\n"Dm"d3 "A7"e3 | "Dm"d6 |\n').chart
    assert (str(chart.key), str(chart.meter)) == ("D minor", "6/8")
    assert [[slot.beats for slot in bar.slots] for bar in chart.sections[0].plain] == [
        [Fraction(3, 2), Fraction(3, 2)],
        [Fraction(3)],
    ]


def test_an_upbeat_becomes_a_full_bar(tmp_path: Path) -> None:
    chart = imported(tmp_path, 'X:1\nM:4/4\nL:1/4\nK:C\nG | "C"c4 | "G"d4 |]\n').chart
    assert symbols(chart) == [["N.C."], ["C"], ["G"]]
    assert chart.sections[0].melody is not None
    assert [(n.pitch, n.beats) for n in chart.sections[0].melody[0]] == [(None, 3), (67, 1)]


def test_chords_off_the_beat_move_and_are_told(tmp_path: Path) -> None:
    found = imported(tmp_path, 'X:1\nM:4/4\nL:1/8\nK:C\n"C"c3 "G7"d5 | "F"c "G"d6 c |]\n')
    first, second = found.chart.sections[0].plain
    assert [slot.beats for slot in first.slots] == [Fraction(2), Fraction(2)]
    assert [str(slot.chord) for slot in second.slots] == ["G"]
    assert any("later one was taken" in line for line in found.left_out)
    assert any("off the beat" in line for line in found.left_out)


def test_several_tunes_and_unknown_texts_are_told(tmp_path: Path) -> None:
    found = imported(
        tmp_path, 'X:1\nM:4/4\nL:1/4\nK:C\n"C"c4 | "slowly"d4 |\n\nX:2\nM:3/4\nK:F\n"F"f3 |\n'
    )
    assert any("2 tunes" in line for line in found.left_out)
    assert any("'slowly'" in line for line in found.left_out)
    assert symbols(found.chart) == [["C"], ["C"]]


def test_a_tune_without_chords_is_silent(tmp_path: Path) -> None:
    found = imported(tmp_path, "X:1\nM:4/4\nL:1/4\nK:C\nc4 | d4 |\n")
    assert symbols(found.chart) == [["N.C."], ["N.C."]]
    assert any("no chord symbols" in line for line in found.left_out)


@pytest.mark.parametrize(
    ("head", "beats"),
    [("", 0.5), ("M:4/4\n", 0.5), ("M:3/4\n", 0.5), ("M:2/4\n", 0.25), ("M:C\n", 0.5)],
)
def test_a_missing_unit_length_is_the_standards(tmp_path: Path, head: str, beats: float) -> None:
    """ABC standard 2.1, 4.7: an eighth; a sixteenth where the meter is below 0.75."""
    found = imported(tmp_path, f'X:1\n{head}K:C\n"C"c4 d2 | e8 |\n')
    notes = [n for bar in found.chart.sections[0].melody or () for n in bar if n.pitch]
    assert [note.beats for note in notes[:2]] == [4 * beats, 2 * beats]


def test_slurs_and_graces_are_told(tmp_path: Path) -> None:
    found = imported(tmp_path, 'X:1\nL:1/4\nK:C\n"C"(c2 {d}!trill!e2) | (3ccc c2 |\n')
    told = " ".join(found.left_out)
    assert "slurs" in told
    assert "grace notes" in told
    assert "exclamation" in told
    assert [n.beats for n in (found.chart.sections[0].melody or ())[1][:3]] == [Fraction(2, 3)] * 3


def test_stand_ins_come_back_as_they_went() -> None:
    from music21 import harmony

    assert len(set(STAND_INS)) == len(STAND_INS) > 200
    for figure in STAND_INS:
        assert harmony.ChordSymbol(figure).figure == figure


def test_only_so_many_different_symbols_are_told_apart() -> None:
    roots = [letter + sign for letter in "CDEFGAB" for sign in ("", "b", "#")]
    kinds = ("", "m", "7", "m7", "maj7", "6", "m6", "9", "dim7", "m7b5", "7b9", "7#5", "sus4")
    texts = " ".join(f'"{root}{kind}"c' for root in roots for kind in kinds)
    tune = prepare_abc(f"X:1\nK:C\n{texts} |\n")
    assert len(tune.chords) == len(STAND_INS)
    assert len(tune.left_out) == len(roots) * len(kinds) - len(STAND_INS)


MUSICXML = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><movement-title>A Walk</movement-title>
<part-list><score-part id="P1"><part-name>Voice</part-name></score-part></part-list>
<part id="P1">{measures}</part></score-partwise>"""
NOTE = "<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>{n}</duration></note>"


def measure(number: int, inside: str) -> str:
    return f'<measure number="{number}">{inside}</measure>'


def harmony(step: str, kind: str = "major", extra: str = "") -> str:
    return (
        f"<harmony><root><root-step>{step}</root-step></root><kind>{kind}</kind>{extra}</harmony>"
    )


START = (
    "<attributes><divisions>1</divisions><key><fifths>-3</fifths></key>"
    "<time><beats>2</beats><beat-type>2</beat-type></time></attributes>"
)


def test_musicxml_odds_and_ends(tmp_path: Path) -> None:
    degree = (
        "<degree><degree-value>9</degree-value><degree-alter>-1</degree-alter>"
        "<degree-type>add</degree-type></degree>"
    )
    text = MUSICXML.format(
        measures=measure(1, START + harmony("E", "dominant", degree) + NOTE.format(step="E", n=4))
        + measure(2, harmony("C", "Neapolitan") + NOTE.format(step="C", n=4))
        + measure(3, harmony("C", "dominant-13th") + NOTE.format(step="C", n=4))
    )
    found = imported(tmp_path, text, "odd.xml")
    assert symbols(found.chart) == [["E7b9"], ["N.C."], ["C13"]]
    assert (str(found.chart.key), str(found.chart.meter)) == ("Eb", "4/4")
    assert found.chart.title == "A Walk"
    assert any("2/2 is written as 4/4" in line for line in found.left_out)
    assert any("no chord symbol here" in line for line in found.left_out)


def test_jumps_are_written_out(tmp_path: Path) -> None:
    jump = (
        "<direction><direction-type><words>D.C. al Fine</words></direction-type>"
        '<sound dacapo="yes"/></direction>'
    )
    fine = jump.replace("D.C. al Fine", "Fine").replace("dacapo", "fine")
    text = MUSICXML.format(
        measures=measure(1, START + harmony("C") + NOTE.format(step="C", n=4) + fine)
        + measure(2, harmony("G") + NOTE.format(step="G", n=4) + jump)
    )
    found = imported(tmp_path, text, "jump.xml")
    told = [line for line in found.left_out if "jump" in line]
    assert len(told) == 1
    written_out = "written out" in told[0]
    assert symbols(found.chart) == ([["C"], ["G"], ["C"]] if written_out else [["C"], ["G"]])


def test_a_change_of_meter_is_told(tmp_path: Path) -> None:
    change = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    text = MUSICXML.format(
        measures=measure(1, START + harmony("C") + NOTE.format(step="C", n=4))
        + measure(2, change + harmony("G") + NOTE.format(step="G", n=3))
    )
    found = imported(tmp_path, text, "meter.xml")
    assert all(bar.beats == 4 for bar in found.chart.sections[0].plain)
    assert any("change of meter to 3/4" in line for line in found.left_out)
    assert any("measure of 3 beats" in line for line in found.left_out)


def test_without_music21_the_extra_is_named(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setitem(sys.modules, "music21", None)
    with pytest.raises(MissingExtraError, match=r'extra "notation".*pip install'):
        imported(tmp_path, ABC)


@pytest.mark.parametrize(
    "name",
    [
        "nottingham-dataset/reelsa-c.abc",
        "ryansMammoth/DurangsHornpipe.abc",
        "ryansMammoth/DevilsDreamReel.abc",
        "ryansMammoth/WeddingRingReelThe.abc",
        "ryansMammoth/BrooksideHornpipe.abc",
    ],
)
def test_abc_tunes_of_the_corpus_come_whole(name: str) -> None:
    from music21 import converter

    found = import_lead_sheet(corpus(name))
    score = converter.parse(corpus(name))
    first = score.scores[0] if "Opus" in score.classes else score
    measures = list(first.parts[0].getElementsByClass("Measure"))
    bars = sum(len(section.plain) for section in found.chart.sections)
    assert bars == len(measures)
    heard = [n for n in first.parts[0].recurse().notes if "Harmony" not in n.classes]
    plain_notes = [n for n in heard if not n.duration.isGrace]
    ours = [
        note
        for section in found.chart.sections
        for bar in section.melody or ()
        for note in bar
        if note.pitch is not None
    ]
    assert len(ours) == len(plain_notes)
    assert [n.pitch for n in ours] == [max(p.midi for p in n.pitches) for n in plain_notes]
    assert replace(found.chart, file="") == parse_chart(write_chart(found.chart))


def test_a_chart_is_no_lead_sheet(tmp_path: Path) -> None:
    path = tmp_path / "tune.changes"
    path.write_text("[A]\n| C |\n", "utf-8")
    with pytest.raises(LeadSheetError, match=r"tune\.changes is a chart already"):
        read_bounded(path)
    with pytest.raises(LeadSheetError, match=r"ends in \.musicxml .* got tune\.pdf"):
        read_bounded(Path("tune.pdf"))
