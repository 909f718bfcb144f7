"""Whatever text or file a stranger hands us: only our own errors, in bounds, nothing outside.

One suite for the readers of this flow's start: chord symbols, number chords, keys, header
values, grip locks, melody notes, charts, MusicXML and ABC. Each test says which reader it feeds.
Findings of longer runs stand at the end as examples of their own.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings, strategies as st

from porchswing.chart.language import values
from porchswing.chart.language.melody_lane import read_note
from porchswing.chart.language.numerals import parse_numeral
from porchswing.chart.language.problems import TextError
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.slots import read_lock, read_slot, write_lock
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Meter
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import unroll
from porchswing.errors import ChartError, ChordSymbolError, LeadSheetError, OptionError
from porchswing.notation.reading.abc import prepare_abc
from porchswing.notation.reading.importing import import_lead_sheet
from porchswing.theory.keys import Key
from porchswing.theory.symbols import parse_chord
from support.strategies import SYMBOL_CHARACTERS, chart_like_text

any_text = st.text(max_size=60) | st.text(SYMBOL_CHARACTERS, max_size=24)
on_disk = settings(
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def refusal(error: type[Exception], call: Callable[[], object]) -> Exception | None:
    """Return the error of exactly this kind that a call raises, or ``None``."""
    try:
        call()
    except error as raised:
        return raised if type(raised) is error else None
    return None


@given(any_text)
def test_chord_symbols(text: str) -> None:
    try:
        chord = parse_chord(text)
    except ChordSymbolError:
        return
    assert parse_chord(chord.symbol) == chord


@given(any_text, st.sampled_from(("C", "F#", "Cb", "A minor", "D# minor")))
def test_number_chords(text: str, key: str) -> None:
    try:
        chord = parse_numeral(text, Key.parse(key))
    except ChordSymbolError:
        return
    assert abs(chord.root.alter) <= 1


@given(any_text)
def test_keys(text: str) -> None:
    if refusal(OptionError, lambda: Key.parse(text)) is None:
        key = Key.parse(text)
        assert Key.parse(str(key)) == key


READERS: tuple[Callable[[str], object], ...] = (
    values.read_text, values.read_word, values.read_tuning, values.read_key, values.read_meter,
    values.read_tempo, values.read_swing, values.read_line, values.read_frets, values.read_yes,
    values.read_seed, values.read_form, read_lock, lambda text: read_slot(text, None),
    lambda text: read_note(text, Meter()), lambda text: read_note(text, Meter(6, 8)),
)  # fmt: skip


@given(any_text | st.text("0123456789.:/%-x ", max_size=20))
def test_header_values_and_words(text: str) -> None:
    for read in READERS:
        error = refusal(TextError, lambda read=read: read(text))
        if isinstance(error, TextError):
            assert error.message
            assert 0 <= error.offset <= len(text) + 1


@given(st.lists(st.none() | st.integers(0, 24), min_size=3, max_size=6))
def test_locks_read_back(frets: list[int | None]) -> None:
    if any(fret is not None for fret in frets):
        assert read_lock(write_lock(tuple(frets))) == tuple(frets)


@settings(max_examples=120)
@given(chart_like_text() | st.text(max_size=300))
@example("[A]\n|:|:|\n")
@example("numbers: yes\n[A]\n| /1 | b | # | %/ |\n")
@example("form: x2\n[x2]\n| F |")
@example("[A]\nmelody | A4:" + "9" * 400 + " |\n")
def test_charts(text: str) -> None:
    error = refusal(ChartError, lambda: parse_chart(text))
    if isinstance(error, ChartError):
        assert error.problems
        assert len(str(error)) < 200_000
        return
    chart = parse_chart(text)
    assert parse_chart(write_chart(chart)) == chart
    moved = transpose(chart, Key.parse("Eb"))
    assert parse_chart(write_chart(moved)) == moved
    try:
        assert unroll(chart, "swing", choruses=2).bars
    except OptionError:
        assert len(chart.sections[0].plain) > 100 or len(chart.form) > 10


def write(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def imported_or_refused(path: Path) -> None:
    """Import a file; its chart must be one, and nothing else may appear beside it."""
    before = sorted(path.parent.iterdir())
    try:
        found = import_lead_sheet(path)
    except LeadSheetError:
        found = None
    if found is not None:
        assert parse_chart(write_chart(found.chart)) == found.chart
    assert sorted(path.parent.iterdir()) == before


ABC_PIECES = (
    "X:1\n", "T:x\n", "M:3/4\n", "M:C|\n", "M:none\n", "L:1/8\n", "K:Bb\n", "K:Dm\n", "K:none\n",
    "Q:1/4=90\n", "V:1\n", "V:2\n", '"C"', '"Bb7"', '"x"', '"', "c2", "_e/", "^f3/2", "z4", "[ceg]",
    "{ga}", "(3abc", "|", "||", "|:", ":|", "|1", "|2", ":|2", "[1", "]", "-", "~", ">", "w: la\n",
    "[K:G]", "[M:2/4]", "%c\n", "\n", "\\\n", "!trill!", "x", "Z2", "y", "*", "$", "&", "é", "\x00",
)  # fmt: skip


@on_disk
@given(text=st.lists(st.sampled_from(ABC_PIECES), max_size=40).map("".join) | st.text(max_size=80))
def test_abc(need_module, tmp_path: Path, text: str) -> None:
    need_module("music21")
    prepare_abc(text)
    imported_or_refused(write(tmp_path, "t.abc", f"X:1\nK:C\n{text}".encode()))


XML_PIECES = (
    "<note>", "</note>", "<pitch><step>C</step><octave>4</octave></pitch>", "<rest/>", "<chord/>",
    "<duration>4</duration>", "<duration>-1</duration>", "<duration>x</duration>", "<grace/>",
    "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>",
    "<harmony><root><root-step>H</root-step></root><kind>odd</kind></harmony>", "<harmony/>",
    "<harmony><numeral/><kind>dominant</kind></harmony>", "<kind>minor</kind>", "<backup>",
    "<attributes><divisions>0</divisions></attributes>", "<backup><duration>9</duration></backup>",
    "<attributes><time><beats>5</beats><beat-type>16</beat-type></time></attributes>",
    "<attributes><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes>",
    "<attributes><key><fifths>99</fifths></key></attributes>", "<barline><repeat/></barline>",
    '<barline><repeat direction="backward" times="9"/></barline>', "text", "&amp;", "&nope;",
    '<barline><ending number="7" type="start"/></barline>', "<forward/>", "<direction/>",
    '<direction><sound dacapo="yes" tempo="-3"/></direction>', "</measure><measure>",
)  # fmt: skip
SHELL = (
    '<score-partwise><part-list><score-part id="P1"><part-name>x</part-name></score-part>'
    '</part-list><part id="P1"><measure number="1">{}</measure></part></score-partwise>'
)


@on_disk
@given(inside=st.lists(st.sampled_from(XML_PIECES), max_size=14).map("".join), packed=st.booleans())
def test_musicxml(need_module, tmp_path: Path, inside: str, packed: bool) -> None:
    need_module("music21")
    data = SHELL.format(inside).encode()
    if packed:
        buffer = io.BytesIO()
        with zipfile.ZipFile(buffer, "w") as archive:
            archive.writestr("s.xml", data)
        data = buffer.getvalue()
    imported_or_refused(write(tmp_path, "t.mxl" if packed else "t.xml", data))


@on_disk
@given(data=st.binary(max_size=400))
@pytest.mark.parametrize("name", ["t.xml", "t.mxl", "t.abc"])
def test_any_bytes(need_module, tmp_path: Path, name: str, data: bytes) -> None:
    need_module("music21")
    imported_or_refused(write(tmp_path, name, data))
