"""The command group: lazy, quick, and honest about errors."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib import import_module

import click
import pytest
from click.testing import CliRunner

from porchswing.cli import base, main as main_module, options
from porchswing.cli.main import COMMANDS, OTHER_COMMANDS, group
from porchswing.errors import ChartError, OptionError, Problem

HEAVY = ("numpy", "mido", "soundfile", "scipy", "music21", "typst", "segno", "distributed")


def test_help_imports_no_command_and_nothing_heavy() -> None:
    code = (
        "import sys; from porchswing.cli.main import group\n"
        "try: group(['--help'])\n"
        "except SystemExit: pass\n"
        "print(*sorted(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert not loaded & set(HEAVY)
    ours = {name for name in loaded if name.startswith("porchswing")}
    assert ours == {
        "porchswing",
        "porchswing.cli",
        "porchswing.cli.main",
        "porchswing.cli.terminal",
        "porchswing.version",
    }
    for name in COMMANDS:
        assert f"\n  {name} " in done.stdout


def test_help_takes_under_a_third_of_a_second_of_processor_time() -> None:
    times = []
    for _ in range(5):
        before = os.times()
        subprocess.run(
            [sys.executable, "-m", "porchswing", "--help"], capture_output=True, check=True
        )
        after = os.times()
        times.append(
            after.children_user
            + after.children_system
            - before.children_user
            - before.children_system
        )
    assert min(times) < 0.3, f"fastest of five: {min(times):.3f} s"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name: str) -> None:
    command = import_module(COMMANDS[name][0]).command
    assert isinstance(command, base.PorchCommand)
    result = CliRunner().invoke(group, [name, "--help"])
    assert result.exit_code == 0
    assert f"porchswing {name}" in result.output.split("Example:")[1]
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{name} {parameter.opts} has no help"


def test_an_unknown_command_is_a_usage_error_that_suggests() -> None:
    result = CliRunner().invoke(group, ["rendr"])
    assert result.exit_code == 2
    assert "No such command 'rendr'" in result.output


def failing(error: Exception) -> base.PorchCommand:
    @base.command(example="porchswing fail")
    @options.json_option
    def command(as_json: bool) -> None:
        """Fail."""
        raise error

    return command


PROBLEMS = (
    Problem("a.changes", 3, 5, "no chord is spelled Hx", "did you mean B?", "| C Hx |", 2),
    Problem("a.changes", 9, 1, "a bar too long"),
)


def test_every_problem_of_a_chart_is_shown_with_line_caret_and_hint() -> None:
    result = CliRunner().invoke(failing(ChartError(PROBLEMS)), [])
    assert result.exit_code == 1
    assert result.stdout == ""
    assert result.stderr == (
        "a.changes:3:5: no chord is spelled Hx\n    | C Hx |\n        ^^\n"
        "    hint: did you mean B?\n\na.changes:9:1: a bar too long\n"
    )


def test_errors_as_json() -> None:
    result = CliRunner().invoke(failing(ChartError(PROBLEMS)), ["--json"])
    assert result.exit_code == 1
    rows = json.loads(result.stdout)["errors"]
    assert [set(row) for row in rows] == [{"file", "line", "column", "message", "hint"}] * 2
    assert rows[0]["line"] == 3
    result = CliRunner().invoke(failing(OptionError("tempo must be 30 to 400")), ["--json"])
    assert json.loads(result.stdout)["errors"][0]["message"] == "tempo must be 30 to 400"


def test_another_error_is_one_paragraph_without_traceback() -> None:
    result = CliRunner().invoke(failing(OptionError("tempo must be 30 to 400, got 7")), [])
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr == "porchswing: tempo must be 30 to 400, got 7\n"


def test_choices_arrive_from_options() -> None:
    got = []

    @base.command(example="porchswing try x.changes")
    @options.choice_options(*options.EVERYTHING)
    def command(choices: object) -> None:
        """Try."""
        got.append(choices)

    line = (
        "--tempo 90 --swing 66% --key Eb --without chords --without count --bars 2-5 --line 4:down"
    )
    result = CliRunner().invoke(command, [*line.split(), "--only", "melody", "--seed", "7"])
    assert result.exit_code == 0, result.output
    choices = got[0]
    assert choices.style.tempo_bpm == 90
    assert round(float(choices.style.swing.ratio), 3) == 1.941
    assert (choices.key, choices.without, choices.bars) == ("Eb", ("chords", "count"), (2, 5))
    assert (choices.line.string, choices.line.direction) == (4, "down")
    assert choices.extra_parts == ("melody",)
    assert choices.style.seed == 7


@pytest.mark.parametrize(
    "line",
    [
        "--tempo 12",
        "--tempo fast",
        "--swing 9",
        "--bars 5-2",
        "--bars x",
        "--line up",
        "--without drum",
        "--lane swung",
        "--choruses 0",
        "--humanize 2",
        "--rate 1",
        "--nonsense",
    ],
)
def test_a_command_typed_wrongly_is_a_usage_error(line: str) -> None:
    @base.command(example="porchswing try x.changes")
    @options.choice_options(*options.EVERYTHING)
    def command(choices: object) -> None:
        """Try."""

    assert CliRunner().invoke(command, line.split()).exit_code == 2


@pytest.mark.parametrize("trace", [False, True])
def test_a_bug_of_ours_is_said_in_a_paragraph(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], trace: bool
) -> None:
    def broken(**_: object) -> None:
        raise LookupError("two\nlines")

    monkeypatch.setattr(main_module, "group", broken)
    monkeypatch.setattr("gc.set_threshold", lambda *_: None)
    monkeypatch.setattr("signal.signal", lambda *_: None)
    monkeypatch.delenv(main_module.TRACE, raising=False)
    if trace:
        monkeypatch.setenv(main_module.TRACE, "1")
    with pytest.raises(LookupError if trace else SystemExit) as caught:
        main_module.main()
    if not trace:
        assert getattr(caught.value, "code", None) == 1
        told = capsys.readouterr().err
        assert "LookupError: two lines" in told
        assert told.count("\n") == 1


def test_a_command_typed_nearly_right_is_suggested() -> None:
    result = CliRunner().invoke(group, ["rendr"])
    assert result.exit_code == 2
    assert "did you mean render?" in result.output
    assert "did you mean" not in CliRunner().invoke(group, ["zzzzzz"]).output
    assert "did you mean grips --chord?" in CliRunner().invoke(group, ["chord", "C"]).output
    result = CliRunner().invoke(group, ["tune.changes"])
    assert "did you mean render tune.changes -o OUT?" in result.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("transpose", "a.changes"), "Missing argument 'KEY'. For example: porchswing transpose"),
        (("render", "a.changes"), "Missing option '-o' / '--output'. For example: porchswing"),
    ],
)
def test_a_word_that_is_missing_is_answered_with_an_example(
    words: tuple[str, ...], said: str
) -> None:
    result = CliRunner().invoke(group, words)
    assert result.exit_code == 2
    assert said in result.output


def test_what_people_call_a_command_names_a_command_and_its_option() -> None:
    for meant in OTHER_COMMANDS.values():
        name, *flags = meant.split()
        if name.startswith("--"):
            assert any(name in each.opts for each in group.get_params(click.Context(group)))
        else:
            command = import_module(COMMANDS[name][0]).command
            known = {option for each in command.params for option in each.opts}
            assert known.issuperset(flags)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--bpm", "90"), "No such option '--bpm'. Did you mean '--tempo'?"),
        (("--mute", "bass"), "No such option '--mute'. Did you mean '--without'?"),
        (("-out", "b.mid"), "No such option '-out'. Did you mean '--output'?"),
        (("-o", "b.mid", "-tempo", "90"), "No such option '-tempo'. Did you mean '--tempo'?"),
        (("-o", "b.mid", "--swing", "66"), "'--swing': a swing ratio is 1"),
        (("–o", "b.mid"), "–o begins with a printed dash; type - (or --)"),
    ],
)
def test_what_other_programs_call_an_option_is_understood(
    words: tuple[str, ...], said: str
) -> None:
    result = CliRunner().invoke(group, ["render", "a.changes", *words])
    assert result.exit_code == 2
    assert said in result.output


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("--dept", "Did you mean '--depth'?\n"),
        ("--bas", "Did you mean '--bass' or '--bars'?\n"),
        ("--with-out", "Did you mean '--without'?\n"),
        ("-k", "Did you mean '--key'?\n"),
        ("--bpm", "Did you mean '--tempo'?\n"),
        ("--zzzzzz", "No such option '--zzzzzz'.\n"),
    ],
)
def test_a_misspelt_option_is_answered_with_the_nearest_alone(typed: str, answer: str) -> None:
    done = CliRunner().invoke(group, ["render", "tune.changes", "-o", "x.mid", typed, "3"])
    assert done.exit_code == 2
    assert done.output.endswith(answer)
