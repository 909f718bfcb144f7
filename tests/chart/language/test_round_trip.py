"""What is written reads back the same, and what was read is written as it was typed."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import unroll
from porchswing.errors import ChartError
from porchswing.theory.keys import Key
from support.strategies import chart_like_text, charts, keys

TYPED = """\
# my own copy, do not lose
key: Bb
title:   Odd   Spacing
# about tempo
tempo:138
swing: 66%
form: A x2   B

[A]
   # comment inside
|: Bb   G7|C-7 F7 |1 Dm7b5 :|2  B♭Δ7{slide, roll} ||
strum: charleston
|Eb@0-3-3-1  / / Ebm | % |]

[B]
plain | C7 | % |
swing | C9@9-10-10-10 | C7(b9,#5) |
# the tune
melody| A4:2 r:2 | Bb4:1.5 C5:1/2 D5:2 |
# last words

"""


def bare(chart: Chart) -> Chart:
    """Return a chart without the lines as typed, as a program would have made it."""
    return replace(chart, rows=(), sections=tuple(replace(s, rows=()) for s in chart.sections))


def test_typed_text_comes_back_to_the_letter() -> None:
    assert write_chart(parse_chart(TYPED)) == TYPED


def test_canonical_text_says_the_same() -> None:
    chart = parse_chart(TYPED)
    text = write_chart(bare(chart))
    assert parse_chart(text) == chart
    assert write_chart(bare(parse_chart(text))) == text


def test_comments_survive_changes_elsewhere() -> None:
    chart = replace(parse_chart(TYPED), tempo_bpm=90.0, by="Somebody")
    text = write_chart(transpose(chart, Key.parse("C")))
    for comment in ("my own copy", "about tempo", "comment inside", "the tune", "last words"):
        assert f"# {comment}" in text
    assert "tempo:  90" in text
    assert "by:     Somebody" in text
    assert "key:    C" in text
    assert "title:   Odd   Spacing" in text
    assert parse_chart(text) == transpose(chart, Key.parse("C"))


def test_a_swing_lane_added_later_stands_below_the_plain_one() -> None:
    chart = parse_chart("[A]\n# hello\n| F | C7 |\n| F | F |\n")
    section = replace(chart.sections[0], swing=chart.sections[0].plain)
    assert write_chart(replace(chart, sections=(section,))) == (
        "[A]\n# hello\nplain | F | C7 |\nswing | F | C7 |\nplain | F | F  |\nswing | F | F  |\n"
    )


def test_fingers_are_written_after_their_grip() -> None:
    text = "[A]\n| F@2010:2010 | C6@5555:1111 |\n"
    assert text in write_chart(bare(parse_chart(text)))


def test_a_section_written_anew_keeps_the_bars_of_its_lines() -> None:
    line = "plain  | F    | F    |\nmelody | A4:4 | C5:4 |\n"
    text = write_chart(transpose(parse_chart(f"key: F\n[A]\n{line}{line}"), "G"))
    assert [row.count("|") - 1 for row in text.splitlines() if "|" in row] == [2, 2, 2, 2]


def test_line_ends_and_marks_of_other_systems() -> None:
    text = "\ufefftitle: x\r\n[A]\r\n| F |\r\n"
    assert parse_chart(text) == parse_chart("title: x\n[A]\n| F |")


@pytest.mark.parametrize(
    "name", ["lantern_street_stroll", "pickled_lemon_blues", "moth_at_the_window"]
)
def test_the_demo_charts_are_canonical(root: Path, name: str) -> None:
    path = root / "demos" / f"{name}.changes"
    chart = read_chart(path)
    assert write_chart(chart) == path.read_text("utf-8")
    assert parse_chart(write_chart(bare(chart))) == chart


@given(charts())
def test_what_is_written_reads_back(chart: Chart) -> None:
    text = write_chart(chart)
    again = parse_chart(text)
    assert again == chart
    assert write_chart(again) == text
    assert write_chart(bare(again)) == text


@given(charts(), keys)
def test_transposed_charts_read_back(chart: Chart, key: Key) -> None:
    typed = parse_chart(write_chart(chart))
    if chart.key.mode == key.mode:
        for start in (chart, typed):
            moved = transpose(start, key)
            assert parse_chart(write_chart(moved)) == moved


@given(charts(), charts())
def test_lanes_exchanged_by_a_program_read_back(chart: Chart, other: Chart) -> None:
    """A section's lanes and settings replaced under lines typed for others."""
    typed = parse_chart(write_chart(chart))
    if typed.meter != other.meter or typed.numbers != other.numbers:
        return
    donor = other.sections[0]
    sections = tuple(
        replace(section, plain=donor.plain, swing=donor.swing, melody=donor.melody,
                settings=donor.settings, words=donor.words)
        for section in typed.sections
    )  # fmt: skip
    changed = replace(typed, sections=sections)
    assert parse_chart(write_chart(changed)) == changed


@given(charts())
def test_comments_stay_in_any_chart(chart: Chart) -> None:
    lines = write_chart(chart).split("\n")
    text = "".join(f"# remark {n}\n{line}\n" for n, line in enumerate(lines))
    typed = parse_chart(text)
    assert typed == chart
    assert write_chart(typed) == text
    moved = write_chart(transpose(typed, Key(chart.key.tonic, chart.key.mode)))
    changed = write_chart(replace(typed, title="Other", tempo_bpm=77.0))
    for n in range(len(lines)):
        assert f"# remark {n}\n" in moved
        assert f"# remark {n}\n" in changed


@settings(max_examples=200)
@given(chart_like_text())
def test_any_text_is_a_chart_or_our_error(text: str) -> None:
    try:
        chart = parse_chart(text)
    except ChartError as error:
        problems = error.problems
    else:
        problems = ()
        assert parse_chart(write_chart(chart)) == chart
        assert unroll(chart).bars
    lines = max(1, len(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")))
    assert all(1 <= problem.line <= lines and problem.column >= 1 for problem in problems)


def test_two_thousand_bars_read_in_well_under_a_second() -> None:
    text = "[A]\n" + "| F Dm7 | Gm7 C7b9@7877{roll} | % | C / / Am7/G |\n" * 500
    started = time.process_time()
    chart = parse_chart(text)
    seconds = time.process_time() - started
    assert len(chart.sections[0].plain) == 2000
    assert seconds < 1.0


@pytest.mark.parametrize(
    "text",
    [
        "[A]\n| " + "(" * 200_000,
        "[A]\n| " + "F" * 200_000 + " |",
        "[A]\n" + "|" * 200_000,
        "[A]\n" + "|: " * 60_000,
        "[A]\n| C" + "b9" * 100_000,
        "form: " + "A x16 " * 20_000 + "\n[A]\n| F |",
        "title: " + " " * 400_000 + "x",
        ":" * 300_000,
        "[" * 300_000,
        "[A]\nmelody | " + "A4:1 " * 50_000,
        "[A]\n| F" + "{slide," * 50_000,
        "[A]\n| F@" + "1-" * 100_000,
        "\n" * 900_000,
        "key: " + "#" * 900_000,
    ],
    ids=range(14),
)
def test_hostile_text_is_refused_quickly(text: str) -> None:
    started = time.process_time()
    with pytest.raises(ChartError):
        parse_chart(text)
    assert time.process_time() - started < 3.0


def test_a_melody_and_words_have_their_bars_below_the_chords() -> None:
    lines = "plain | F | Dm7 |\nmelody | A4:2 C5:2 | D5:4 |\nwords | warm and | sweet |\n"
    rows = write_chart(bare(parse_chart(f"key: F\n[A]\n{lines}"))).splitlines()[-3:]
    places = [[at for at, sign in enumerate(row) if sign == "|"] for row in rows]
    assert places[0] == places[1] == places[2]


def test_chords_are_not_spread_over_a_melody_of_many_notes() -> None:
    eighths = " ".join(["A4:0.5"] * 8)
    lines = f"plain | F | F | F |\nmelody |{f' {eighths} |' * 3}\n"
    text = write_chart(bare(parse_chart(f"key: F\n[A]\n{lines}")))
    assert "plain  | F | F | F |\n" in text
