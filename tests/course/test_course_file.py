"""Reading a course: defaults, exceptions, and an error with its key path for every mistake."""

from __future__ import annotations

import contextlib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from porchswing.course.course_file import (
    MAX_COURSE_BYTES,
    OPTION_ROWS,
    Mix,
    parse_course,
    read_course,
)
from porchswing.errors import CourseError
from porchswing.option_kinds import Flag, HandProfile, Line, Name, Number, OneOf, Several, Swing

EXAMPLE = """
title = "First term"
[defaults]
keys    = ["as written", "F"]
tempos  = [80, "as written"]
formats = ["wav", "mid"]
[defaults.mixes]              # name = parts left out
full     = []
practice = ["chords"]
[[tune]]
charts = ["first/*.changes"]  # relative to the TOML file
tempos = [60, 80]             # exceptions override defaults
[[tune]]
charts = ["second/*.changes"]
swing  = "2:1"
count-in = 1
"""


def test_exceptions_stand_over_defaults() -> None:
    course = parse_course(EXAMPLE, "term.toml")
    first, second = course.tunes
    assert course.title == "First term"
    assert first.keys == second.keys == (None, "F")
    assert first.tempos == (60, 80)
    assert second.tempos == (80, None)
    assert first.mixes == (Mix("full"), Mix("practice", ("chords",)))
    assert second.choices.style.swing is not None
    assert second.choices.style.swing.ratio == Fraction(2)
    assert (first.choices.style.count_in_bars, second.choices.style.count_in_bars) == (None, 1)


TUNE = '[[tune]]\ncharts = ["a.changes"]\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "tune must be a list of tables"),
        ("tune = 3", "tune must be a list of tables"),
        ("[[tune]]", r"tune\[0\]\.charts is missing"),
        ("[[tune]]\ncharts = [1]", r"tune\[0\]\.charts\[0\] must be a text"),
        ("titel = 'x'\n" + TUNE, "unknown key 'titel'; did you mean 'title'"),
        (TUNE + "tempo = [80]", r"unknown key 'tune\[0\]\.tempo'; did you mean 'tempos'"),
        (TUNE + "tempos = [12]", r"tune\[0\]\.tempos\[0\] must be 30 to 400 bpm, got 12 \(or"),
        (TUNE + "tempos = [nan]", r"tempos\[0\] must be 30 to 400"),
        (TUNE + "tempos = [true]", r"tempos\[0\] must be 30 to 400"),
        (TUNE + 'keys = ["H"]', r"tune\[0\]\.keys\[0\] must be a key, for example B, got 'H'"),
        (TUNE + 'formats = ["aiff"]', r"formats\[0\] must be one of mid, wav"),
        (TUNE + 'mixes = {a = ["tuba"]}', r"tune\[0\]\.mixes\.a must be a list of parts"),
        (TUNE + "mixes = {}", r"tune\[0\]\.mixes must name 1 to"),
        (TUNE + 'swing = "often"', r"tune\[0\]\.swing is wrong: .*often"),
        (TUNE + "swing = inf", r"tune\[0\]\.swing is wrong"),
        (TUNE + "choruses = 1.5", r"choruses must be a whole number from 1 to 200"),
        (TUNE + "humanize = 2", r"humanize must be 0 to 1, got 2"),
        (TUNE + 'lane = "fast"', r"tune\[0\]\.lane must be one of plain, swing"),
        (TUNE + "loop = 1", r"loop must be true or false"),
        (TUNE + "ease = []", r"tune\[0\]\.ease must be one of small, no-barre, got \[\]"),
        (TUNE + "bit-depth = 20", r"bit-depth must be one of 16, 24"),
        ("[defaults]\ncharts = ['x']\n" + TUNE, r"unknown key 'defaults\.charts'"),
        ("[defaults\n", "not TOML"),
        ("a = " + "[" * 5000, "not TOML"),
    ],
)
def test_a_mistake_is_told_with_file_and_key_path(text: str, says: str) -> None:
    with pytest.raises(CourseError, match=f"^term.toml: .*{says}"):
        parse_course(text, "term.toml")


def test_a_missing_a_huge_and_a_binary_file(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    with pytest.raises(CourseError, match=r"tune\.changes is a chart; a course is a TOML file"):
        read_course(Path("tune.changes"))
    with pytest.raises(CourseError, match="cannot read"):
        read_course(path)
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(CourseError, match="not UTF-8"):
        read_course(path)
    path.write_bytes(b"#" * (MAX_COURSE_BYTES + 5))
    with pytest.raises(CourseError, match="at most"):
        read_course(path)


VALUES = {
    Name: '"word"',
    Several: '["side-slip"]',
    Swing: '"66%"',
    Flag: "true",
    HandProfile: '"small"',
    Line: '"4:down"',
}


def test_every_option_of_the_table_is_taken() -> None:
    for key, row in OPTION_ROWS.items():
        kind = row.kind
        value = VALUES.get(type(kind), "1")
        if isinstance(kind, Number):
            value = f"{kind.low if kind.low != row.default else kind.high:g}"
        if isinstance(kind, OneOf):
            value = toml(next(word for word in kind.words if word != row.default))
        choices = parse_course(f"{TUNE}{key} = {value}").tunes[0].choices
        record = getattr(choices, row.record) if row.record else choices
        assert getattr(record, row.field) != row.default, key


def test_option_names_are_those_of_render(root: Path) -> None:
    from porchswing.cli.tune.render import command

    options = {name.lstrip("-") for p in command.params for name in p.opts}
    assert set(OPTION_ROWS) <= options


scalars = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
words = st.sampled_from([*OPTION_ROWS, "keys", "tempos", "mixes", "charts"])


@given(st.text())
def test_any_text_raises_nothing_but_the_projects_own_error(text: str) -> None:
    with pytest.raises(CourseError):
        parse_course(text)


def toml(value: object) -> str:
    """Write a value as TOML where TOML has it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, str):
        escaped = "".join(f"\\U{ord(c):08X}" for c in value if not 0xD800 <= ord(c) < 0xE000)
        return f'"{escaped}"'
    return "{}" if value is None else str(value)


@given(st.dictionaries(words, scalars | st.lists(scalars, max_size=3), max_size=6))
def test_any_values_under_known_keys_give_a_course_or_the_projects_error(
    values: dict[str, object],
) -> None:
    text = "[[tune]]\n" + "\n".join(f"{key} = {toml(value)}" for key, value in values.items())
    with contextlib.suppress(CourseError):
        assert parse_course(text).tunes[0].charts
