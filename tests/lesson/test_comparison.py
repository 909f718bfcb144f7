"""Both lanes back to back: the same bars, equally loud, clicks between."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pytest
import soundfile

from porchswing.chart.language.reader import read_chart
from porchswing.chart.model import Chart, LineTarget
from porchswing.errors import OptionError
from porchswing.grips.drawings.lines import best_line
from porchswing.harmony.choice.lead import Lead
from porchswing.lesson.comparison import (
    compare,
    compare_in_context,
    compare_line,
    compare_swap,
    lone_swaps,
    matched_samples,
    with_line_heard,
)
from porchswing.midi.smf import midi_bytes
from porchswing.options import Choices, SoundSettings
from porchswing.take import lead_and_grips


@pytest.fixture
def chart(root: Path) -> Chart:
    return read_chart(root / "demos" / "lantern_street_stroll.changes")


def test_the_two_lanes_are_the_same_bars_back_to_back(chart: Chart) -> None:
    pair = compare(chart, Choices(section="B", bars=(1, 4)))
    plain, swing = pair.pieces
    assert plain.performance.end_ticks == swing.performance.end_ticks == 16 * 960
    assert pair.performance.end_ticks == 2 * (2 + 16) * 960
    chords = [mark.text for mark in pair.performance.marks if mark.kind == "chord"]
    assert chords == ["Bb", "Bb", "F", "F", "Bb6", "Bb6", "F6", "Am7", "Abm7"]


def test_the_plain_lane_has_open_grips_and_the_swing_lane_closed_ones(chart: Chart) -> None:
    pair = compare(chart, Choices(section="B"))
    plain, swing = (piece.performance.part("chords") for piece in pair.pieces)
    assert any(note.fret == 0 for note in plain.notes)
    assert all(note.fret != 0 for note in swing.notes)


def test_two_clicks_come_before_each_lane(chart: Chart) -> None:
    pair = compare(chart, Choices(section="B", bars=(1, 4)), times=2)
    counts = [note.onset_ticks for note in pair.performance.part("count").notes]
    step = (2 + 16) * 960
    assert counts == [start + beat for start in range(0, 4 * step, step) for beat in (0, 960)]


def test_without_a_section_every_section_of_the_form_comes_once(chart: Chart) -> None:
    pieces = compare(chart, Choices()).pieces
    assert [piece.name.split()[0] for piece in pieces] == ["A", "A", "B", "B"]


def test_markers_in_the_midi_file_name_section_and_lane(chart: Chart, tmp_path: Path) -> None:
    path = tmp_path / "pair.mid"
    path.write_bytes(midi_bytes(compare(chart, Choices(section="B")).performance))
    markers = [m.text for t in mido.MidiFile(path).tracks for m in t if m.type == "marker"]
    assert markers == ["B plain lane, as written", "B swing lane"]


@pytest.mark.parametrize("target", [-18.0, -23.0])
def test_both_halves_are_equally_loud_by_an_independent_meter(
    chart: Chart, tmp_path: Path, need_program: Callable[[str], str], target: float
) -> None:
    """ITU-R BS.1770 as FFmpeg's ebur128 filter measures it, on each half by itself."""
    ffmpeg = need_program("ffmpeg")
    pair = compare(chart, Choices(section="A", sound=SoundSettings(loudness_lufs=target)))
    path = tmp_path / "pair.wav"
    pair.write([path])
    halves = [
        _lufs(ffmpeg, path, start, piece.performance.end_s)
        for piece, start in zip(pair.pieces, pair.starts_s, strict=True)
    ]
    assert abs(halves[0] - halves[1]) <= 0.2
    assert halves == pytest.approx([target, target], abs=0.5)


@pytest.mark.parametrize("kind", ["grips", "line", "context"])
def test_both_ends_and_every_count_are_equally_loud(
    chart: Chart, tmp_path: Path, need_program: Callable[[str], str], kind: str
) -> None:
    """FFmpeg's ebur128 filter: the halves, and the clicks in quiet surroundings."""
    ffmpeg = need_program("ffmpeg")
    choices = Choices(section="B", line=LineTarget(2) if kind == "line" else None)
    if kind == "line":
        pair = compare_line(chart, with_line_heard(chart, choices))
    else:
        pair = (compare_in_context if kind == "context" else compare)(chart, choices)
    path = tmp_path / "pair.wav"
    pair.write([path])
    halves = [
        _lufs(ffmpeg, path, start, piece.performance.end_s)
        for piece, start in zip(pair.pieces, pair.starts_s, strict=True)
    ]
    assert halves == pytest.approx([-18, -18], abs=0.4)
    assert abs(halves[0] - halves[1]) <= 0.2
    sound, rate_hz = soundfile.read(path)
    first, second = (
        sound[round((start - pair.clicks.end_s) * rate_hz) :][: round(0.5 * rate_hz)]
        for start in pair.starts_s
    )
    assert _lufs(ffmpeg, path, 0, pair.clicks.end_s) == pytest.approx(-28, abs=0.5)
    strike = slice(0, round(0.01 * rate_hz))  # before anything that rings on matters
    assert np.abs(second[strike]).max() == pytest.approx(np.abs(first[strike]).max(), rel=0.12)


def _lufs(ffmpeg: str, path: Path, start_s: float, length_s: float) -> float:
    cut = ["-ss", f"{start_s}", "-t", f"{length_s}", "-i", str(path)]
    command = [ffmpeg, "-nostats", "-hide_banner", *cut, "-af", "ebur128", "-f", "null", "-"]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    return float(re.findall(r"I:\s+(-?[\d.]+) LUFS", said)[-1])


def test_the_sound_lasts_as_long_as_the_performance(chart: Chart, tmp_path: Path) -> None:
    pair = compare(chart, Choices(section="B", bars=(1, 2)))
    report = pair.write([tmp_path / "pair.wav"])
    assert soundfile.info(tmp_path / "pair.wav").duration == pytest.approx(report.seconds)
    assert report.seconds >= pair.performance.end_s


def test_one_swap_is_heard_by_itself(chart: Chart) -> None:
    lead, _ = lead_and_grips(chart, Choices())
    assert isinstance(lead, Lead)
    swaps = lone_swaps(chart, lead)
    assert len(swaps) >= 2
    for swap in swaps:
        pair = compare_swap(chart, Choices(), swap)
        plain, swing = (
            [m.text for m in piece.performance.marks if m.kind == "chord"] for piece in pair.pieces
        )
        assert plain != swing
        assert pair.pieces[0].performance.end_ticks == pair.pieces[1].performance.end_ticks


@pytest.mark.parametrize("times", [0, 21])
def test_too_few_or_many_times_is_an_error(chart: Chart, times: int) -> None:
    with pytest.raises(OptionError, match=f"times must be 1 to 20, got {times}"):
        compare(chart, Choices(), times)


def test_a_comparison_too_long_to_hold_says_so(chart: Chart) -> None:
    with pytest.raises(OptionError, match="ask for a section, bars, or fewer times"):
        compare(chart, Choices(choruses=2), 20)


def test_silence_in_both_lanes_stays_silence(chart: Chart) -> None:
    samples = matched_samples(compare(chart, Choices(section="B", only=("count",))))
    assert np.isfinite(samples).all()


@pytest.mark.parametrize("string", [1, 4])
def test_a_string_is_heard_in_the_beginners_grips_then_in_ours(chart: Chart, string: int) -> None:
    choices = Choices(section="B", line=LineTarget(string))
    pair = compare_line(chart, with_line_heard(chart, choices))
    assert [piece.name for piece in pair.pieces] == [
        f"B plain lane, as written, string {string}",
        f"B swing lane, string {string}",
    ]
    index = 4 - string
    for piece, lane, line in zip(
        pair.pieces, ("plain", "swing"), (None, choices.line), strict=True
    ):
        (part,) = piece.performance.parts
        assert part.name == "line"
        _, grips = lead_and_grips(chart, Choices(lane=lane, line=line))
        wanted = [s.grip.midi[index] for s in grips.slots if s.section == "B" and s.grip]
        heard = [note.pitch for note in part.notes]
        assert heard[0] == wanted[0]
        assert set(heard) == set(wanted)


@pytest.mark.parametrize(
    ("asked", "parts"),
    [
        ({}, {"line"}),
        ({"only": ("line", "bass")}, {"line", "bass"}),
        ({"also": ("line",)}, {"chords", "bass", "drums", "line"}),
        ({"without": ("chords",)}, {"bass", "drums", "line"}),
    ],
)
def test_what_is_heard_with_a_line(chart: Chart, asked: dict[str, Any], parts: set[str]) -> None:
    choices = with_line_heard(chart, Choices(section="B", line=LineTarget(), **asked))
    _, grips = lead_and_grips(chart, Choices(line=LineTarget()))
    best = best_line(grips, "B")
    assert best is not None
    assert choices.line == LineTarget(best.string)
    pair = compare_line(chart, choices)
    for piece in pair.pieces:
        assert {part.name for part in piece.performance.parts if part.notes} == parts


def test_a_plain_bridge_after_a_swing_section() -> None:
    from porchswing.chart.language.reader import parse_chart

    chart = parse_chart("title: Gate\nkey: C\nform: A B\n[A]\n| C Am | Dm G7 |\n[B]\n| C | G7 |\n")
    found = compare_in_context(chart, Choices(section="B", depth=2))
    plain, swing = (piece.performance for piece in found.pieces)
    assert [piece.name for piece in found.pieces] == [
        "A swing lane, B plain lane, as written",
        "A swing lane, B swing lane",
    ]
    assert plain.end_s == pytest.approx(swing.end_s, abs=1)

    def chords(performance, bars):  # type: ignore[no-untyped-def]
        marks = [m for m in performance.marks if m.kind == "chord"]
        return [m.text for m in marks if (m.seconds < 4 - 0.1) == (bars == "A")]

    assert chords(plain, "A") == chords(swing, "A") != []
    assert chords(plain, "B") == ["C", "G7"] != chords(swing, "B")
    for section in (None, "A"):
        with pytest.raises(OptionError, match="a comparison in context needs"):
            compare_in_context(chart, Choices(section=section))
