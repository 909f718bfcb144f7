"""The teacher's choices: every one is checked when it is made."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import fields, replace
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import SwingSetting
from porchswing.cli import base, options
from porchswing.course.course_file import parse_course
from porchswing.errors import OptionError
from porchswing.grips.search.voice import voice
from porchswing.option_rows import Option
from porchswing.options import BY_FIELD, OPTIONS, BandStyle, Choices, SoundSettings
from porchswing.take import arrange


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("density", 1.5, "density must be 0 to 1, got 1.5"),
        ("variation", -0.1, "variation must be 0 to 1, got -0.1"),
        ("backbeat", 2, "backbeat must be 0 to 1, got 2"),
        ("slides", float("nan"), "slides must be 0 to 1, got nan"),
        ("ritardando", 1.1, "ritardando must be 0 to 1, got 1.1"),
        ("feel", 3, "feel must be 0 to 1, got 3"),
        ("tempo_bpm", 0, "tempo_bpm must be 30 to 400 bpm, got 0"),
        ("chorus_tempos_bpm", (80, 700), "chorus_tempos_bpm must be 30 to 400 bpm, got 700"),
        (
            "swing",
            SwingSetting(Fraction(5)),
            "swing is wrong: a swing ratio is 1 (straight) to 4 (50% to 80%), got '5' "
            "(2 is triplet swing)",
        ),
        ("count_in_bars", -1, "count_in_bars must be a whole number from 0 to 8 bars, got -1"),
    ],
)
def test_a_choice_out_of_range_names_field_range_and_value(
    field: str, value: object, said: str
) -> None:
    with pytest.raises(OptionError) as caught:
        BandStyle(**{field: value})  # type: ignore[arg-type]
    assert str(caught.value) == said


def test_the_ends_of_the_ranges_are_allowed() -> None:
    assert BandStyle(density=0, variation=1, backbeat=1, slides=0, ritardando=1, feel=1)
    assert BandStyle(swing=SwingSetting(None), tempo_bpm=30, count_in_bars=0)


def test_the_defaults_of_the_command_line_the_library_and_the_record_are_one() -> None:
    got: list[Choices] = []

    @base.command(example="porchswing try")
    @options.choice_options(*options.EVERYTHING)
    def command(choices: Choices) -> None:
        """Try."""
        got.append(choices)

    assert CliRunner().invoke(command, []).exit_code == 0
    chart = parse_chart("[A]\n| F | C7 |")
    arranged = arrange(chart, voice(chart, lane="plain")).choices
    course = parse_course('[[tune]]\ncharts = ["a.changes"]').tunes[0].choices
    resolved = replace(arranged.style, seed=None)
    assert got[0] == course == Choices() == replace(arranged, lane="swing", style=resolved)


def test_no_field_or_flag_stands_in_two_rows() -> None:
    assert len({row.field for row in OPTIONS}) == len(OPTIONS) == len({row.flag for row in OPTIONS})
    names = [each.name for record in (Choices, BandStyle, SoundSettings) for each in fields(record)]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("row", OPTIONS, ids=lambda row: row.flag)
def test_every_row_takes_its_own_default_and_has_a_line_of_help(row: Option) -> None:
    assert row.help.endswith(".")
    assert row.flag.startswith("--")
    assert "_" not in row.flag
    if row.default is not None:
        row.kind.check(row.default)


@pytest.mark.parametrize(
    ("text", "style"),
    [
        ("90", BandStyle(tempo_bpm=90)),
        ("90 BPM", BandStyle(tempo_bpm=90)),
        ("60%", BandStyle(tempo_share=0.6)),
        ("112.5%", BandStyle(tempo_share=1.125)),
    ],
)
def test_a_tempo_is_beats_a_minute_or_a_share(text: str, style: BandStyle) -> None:
    kind = BY_FIELD["tempo_bpm"].kind
    assert Choices().with_values({"tempo_bpm": kind.read(text)}).style == style
    assert style.felt_bpm(100) in (90, 60, 112.5)


@pytest.mark.parametrize("text", ["5%", "500%", "fast%", "%", "inf%", "-60%"])
def test_a_share_out_of_range_is_refused(text: str) -> None:
    with pytest.raises(OptionError, match="10% to 400% of the chart's tempo"):
        BY_FIELD["tempo_bpm"].kind.read(text)


def test_a_share_of_a_slow_tune_is_refused_by_the_tempo_it_comes_to() -> None:
    with pytest.raises(OptionError, match=r"tempo must be 30 to 400 bpm, got 24 \(60% of 40\)"):
        BandStyle(tempo_share=0.6).felt_bpm(40)


def test_parts_come_in_a_list_or_one_by_one() -> None:
    kind = BY_FIELD["without"].kind
    assert kind.read("chords,bass") == kind.convert(["chords", "bass"]) == ("chords", "bass")
    assert kind.read("chords bass") == kind.read("chords, bass") == ("chords", "bass")
    with pytest.raises(OptionError, match="did you mean 'drums'"):
        kind.read("chords,drum")
    with pytest.raises(OptionError, match="got ''"):
        kind.read(" ")


def test_no_default_or_range_of_an_option_is_written_a_second_time(root: Path) -> None:
    """A function's argument named as an option takes its default from the table."""
    numbers = {row.field for row in OPTIONS if type(row.default) in (int, float)}
    numbers -= {"choruses"}  # once through the form is what a form is, whatever the option says
    again = [
        f"{path.name}:{argument.lineno} {argument.arg}"
        for path in sorted((root / "engine").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
        for argument, default in arguments_with_defaults(node.args)
        if argument.arg in numbers and isinstance(default, ast.Constant)
        if default.value is not None and path.parent.name not in OWN_DEPTHS
    ]
    assert again == []


OWN_DEPTHS = ("swaps",)
"""Where ``depth`` is that of a swap's row, not the one asked for."""


def arguments_with_defaults(args: ast.arguments) -> Iterator[tuple[ast.arg, ast.expr | None]]:
    placed = [*args.posonlyargs, *args.args]
    yield from zip(reversed(placed), reversed(args.defaults), strict=False)
    yield from zip(args.kwonlyargs, args.kw_defaults, strict=True)
