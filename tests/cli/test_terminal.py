"""What a terminal shows and a pipe does not: colour, signs, and what is being made."""

from __future__ import annotations

import io
import sys

import pytest
from click.testing import CliRunner
from hypothesis import given, strategies as st

from porchswing.cli import base, terminal
from porchswing.cli.main import group
from porchswing.theory.notes import with_signs
from porchswing.theory.qualities import QUALITIES

CHART = "demos/lantern_street_stroll.changes"


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("root", ["Bb", "F#", "C", "Ebb", "Ab"])
@pytest.mark.parametrize("suffix", sorted(QUALITIES))
def test_every_chord_symbol_is_printed_as_print_sets_it(root: str, suffix: str) -> None:
    """Against the symbols of the page, which are made from parsed chords."""
    symbol = f"{root}{suffix}"
    assert terminal.with_print_signs(f"to {symbol} at bar 3") == f"to {with_signs(symbol)} at bar 3"


@pytest.mark.parametrize(
    "text",
    ["Bob and Abby", "a bar, both hands", "[B]", "Ebony", "demos/Abbot.changes", "Debbie's DAb"],
)
def test_words_stay_words(text: str) -> None:
    assert terminal.with_print_signs(text) == text


@given(st.text(alphabet="ABCDEFGb#m7 /().maj", max_size=40))
def test_no_column_moves(text: str) -> None:
    assert len(terminal.with_print_signs(text)) == len(text)


def painted(monkeypatch: pytest.MonkeyPatch, text: str, **environment: str) -> str:
    stream = Terminal()
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", stream)
    terminal.show(text)
    return stream.getvalue()


def test_a_terminal_gets_colour_and_printed_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    told = painted(monkeypatch, "[B]\nBb6 to F#m")
    assert "\x1b[" in told
    assert "B♭6 to F♯m" in told


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_colour_is_left_away_where_it_is_not_wanted(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR as no-color.org has it."""
    told = painted(monkeypatch, "[B]\n    ^", **environment)
    assert told == "[B]\n    ^\n"


def test_a_pipe_gets_the_text_as_it_is_unless_signs_are_asked_for(
    root: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(str(root))
    words = ["grips", CHART, "--section", "B"]
    runner = CliRunner()
    plain = runner.invoke(group, words).stdout
    assert "Bb6" in plain
    assert "\x1b[" not in plain
    printed = runner.invoke(group, ["--signs", "print", *words]).stdout
    assert "B♭6" in printed
    assert "Bb6" not in printed
    typed = runner.invoke(group, words, env={"PORCHSWING_SIGNS": "letters"}).stdout
    assert "♭" not in typed


def test_a_bar_says_what_was_made_last(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    with base.Answer().progress("making") as tell:
        tell(0.25, "for-the-student/x-practice.html")
        tell(0.75)
    assert "for-the-student/x-practice.html" in stream.getvalue()


def test_a_cost_is_said_in_words(root: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(str(root))
    first = CliRunner().invoke(group, ["grips", CHART]).stdout.splitlines()[0]
    assert "a busy hand: cost " in first
    assert first.endswith(" a chord")


def test_a_pipe_gets_a_line_now_and_then(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now = 100.0
    monkeypatch.setattr(base.time, "monotonic", lambda: now)
    with base.Answer().progress("making") as tell:
        tell(0.1)
        assert capsys.readouterr().err == "", "what is over in five seconds says nothing"
        now = 107.0
        tell(0.4)
        tell(0.5)
        now = 113.0
        tell(0.8)
    assert capsys.readouterr().err == "making: 40% after 7 s\nmaking: 80% after 13 s\n"
    with base.Answer(quiet=True).progress("making") as tell:
        now = 200.0
        tell(1.0)
    assert capsys.readouterr().err == ""
