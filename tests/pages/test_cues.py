"""Cue files: read by an independent parser, true to the marks and to the sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from porchswing.audio.mix.mixdown import render_blocks
from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.options import Choices
from porchswing.pages.cues import KINDS, cue_text
from porchswing.performance.model import Mark, Performance
from porchswing.take import take_from_chart

RESTS = "title: Rests\nkey: C\ntempo: 97\nstrum: four\n[A]\n| C6 | N.C. | F6 | N.C. | G9 | N.C. |\n"


def _performance(root: Path) -> Performance:
    chart = read_chart(root / "demos" / "moth_at_the_window.changes")
    return take_from_chart(chart, Choices(choruses=2)).performance


def _seconds(stamp: str) -> float:
    hours, minutes, rest = stamp.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(rest)


@pytest.mark.parametrize("kind", KINDS)
def test_an_independent_reader_finds_every_cue_in_order(
    kind: str, root: Path, need_module: Callable[[str], None]
) -> None:
    """webvtt-py, a reader of the W3C's WebVTT."""
    need_module("webvtt")
    import webvtt

    performance = _performance(root)
    captions = webvtt.from_string(cue_text(performance, kind)).captions
    starts = [_seconds(caption.start) for caption in captions]
    ends = [_seconds(caption.end) for caption in captions]
    assert len(captions) >= 3
    assert starts == sorted(starts)
    assert all(start < end for start, end in zip(starts, ends, strict=True))
    assert ends[:-1] == starts[1:]
    marks = {round(m.seconds, 3): m.text for m in performance.marks if m.kind == kind}
    for start, caption in zip(starts, captions, strict=True):
        near = min(marks, key=lambda seconds: abs(seconds - start))
        assert near == pytest.approx(start, abs=0.001)
        assert caption.text == marks[near]


def test_cues_stand_where_the_sound_is() -> None:
    """After a bar of silence each chord's cue starts within 10 ms of its first sound."""
    choices = Choices(lane="plain", grips="closed", only=("chords",), humanize=0.0)
    performance = take_from_chart(parse_chart(RESTS), choices).performance
    rate_hz = 44_100
    sound = np.abs(np.concatenate(list(render_blocks(performance, rate_hz)))).max(axis=1)
    starts = [
        _seconds(row.split(" --> ")[0])
        for row in cue_text(performance, "grip").splitlines()
        if " --> " in row
    ]
    assert len(starts) == 3
    for start in starts:
        near = sound[round((start - 0.2) * rate_hz) : round((start + 0.2) * rate_hz)]
        first = int(np.argmax(near > near.max() * 0.02)) / rate_hz - 0.2
        assert abs(first) < 0.010


def test_no_text_can_open_a_tag_or_end_a_cue() -> None:
    mark = Mark(0, 0.0, "section", "A --> B <v Bob>\n\n00:00:00.000 --> 00:00:09.000\nhush &amp;")
    performance = Performance("x <b>\n-->", (), (), (mark,), 960, 1.0)
    text = cue_text(performance, "section")
    assert text.count("-->") == 1
    assert "<" not in text
    assert "&amp;amp;" in text


def test_marks_that_last_no_time_are_left_out() -> None:
    marks = tuple(Mark(0, at, "section", name) for at, name in ((0.0, "A"), (1.0, "B"), (1.0, "C")))
    text = cue_text(Performance("x", (), (), marks, 960, 2.0), "section")
    assert [row for row in text.splitlines() if row in "ABC" and row] == ["A", "C"]


def test_a_chord_marked_again_is_one_cue_but_a_section_that_returns_is_two() -> None:
    marks = tuple(Mark(0, float(at), kind, "A") for kind in ("section", "chord") for at in range(3))
    performance = replace(Performance("x", (), (), marks, 960, 3.0))
    assert cue_text(performance, "chord").count("-->") == 1
    assert cue_text(performance, "section").count("-->") == 3
