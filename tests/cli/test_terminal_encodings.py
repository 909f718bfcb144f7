"""Any console: cp1252, cp850, ASCII, closed pipes and names that are no text, never a crash."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli import base
from porchswing.cli.main import COMMANDS, group
from porchswing.cli.terminal import STAND_INS, prepare_console, prepare_stream

CHART = "title: Süße\nkey: Bb\n[A]\n| Bb Bdim7 | Cm7 F7 |\n"


def run(folder: Path, words: list[str], encoding: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "porchswing", *words],
        cwd=folder,
        capture_output=True,
        env={"PYTHONIOENCODING": encoding, "PATH": ""},
        timeout=120,
    )


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp850", "utf-8"])
@pytest.mark.parametrize(
    "words", [["name", "4432"], ["name", "3534"], ["reharm", "a.changes"], ["--help"]]
)
def test_every_encoding_prints(tmp_path: Path, words: list[str], encoding: str) -> None:
    (tmp_path / "a.changes").write_text(CHART, "utf-8")
    done = run(tmp_path, words, encoding)
    assert done.returncode == 0, done.stderr
    shown = done.stdout.decode(encoding)
    assert "?" not in shown or encoding == "utf-8" or words[0] == "reharm"
    if words[0] == "name" and encoding == "ascii":
        assert "|" in shown
        assert "o" in shown


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp850", "utf-8"])
@pytest.mark.parametrize("words", [["grips", "a.changes"], ["list", "swaps"]])
def test_diagrams_and_names_have_a_stand_in_for_every_sign(
    tmp_path: Path, words: list[str], encoding: str
) -> None:
    """A bar with a finger on it, and accents: without a stand-in they were question marks."""
    (tmp_path / "a.changes").write_text(CHART, "utf-8")
    done = run(tmp_path, words, encoding)
    assert done.returncode == 0, done.stderr
    shown = done.stdout.decode(encoding)
    assert "?" not in shown
    if encoding == "utf-8":
        assert "┿" in shown or "é" in shown


def test_an_error_prints_too_and_a_name_that_is_no_text(tmp_path: Path) -> None:
    name = b"caf\xe9.changes".decode("utf-8", "surrogateescape")
    for encoding in ("ascii", "utf-8"):
        done = run(tmp_path, ["check", name], encoding)
        assert done.returncode == 1
        assert b"caf?.changes" in done.stderr
        assert b"Traceback" not in done.stderr


def test_stand_ins_are_ascii_and_used() -> None:
    prepare_console()
    assert all(plain.isascii() for plain in STAND_INS.values())
    for encoding, want in (("ascii", "Bb|o?"), ("cp1252", "Bb|o?"), ("utf-8", "B♭│●漢")):
        buffer = io.BytesIO()
        stream = io.TextIOWrapper(buffer, encoding)
        prepare_stream(stream)
        stream.write("B♭│●漢")
        stream.flush()
        assert buffer.getvalue().decode(encoding) == want


def test_a_closed_pipe_is_no_crash(tmp_path: Path) -> None:
    code = (
        "import os, sys; r, w = os.pipe(); os.close(r); os.dup2(w, 1)\n"
        "sys.argv = ['porchswing', 'list', 'patterns']\n"
        "from porchswing.cli.main import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, timeout=60)
    assert b"Traceback" not in done.stderr
    assert b"internal error" not in done.stderr
    for closed in (">&-", "2>&-"):
        shell = f"{sys.executable} -m porchswing list tunings {closed}"
        done = subprocess.run(["/bin/sh", "-c", shell], capture_output=True, timeout=60)
        assert b"Traceback" not in done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["render", "--json"],
        ["nosuch", "--json"],
        ["render", "a", "-o", "b", "--depth", "9", "--json"],
    ],
)
def test_usage_errors_are_json_under_json(words: list[str]) -> None:
    result = CliRunner().invoke(group, words)
    assert result.exit_code == 2
    rows = json.loads(result.stdout)["errors"]
    assert [sorted(row) for row in rows] == [["column", "file", "hint", "line", "message"]]
    assert rows[0]["message"]
    assert result.stderr == ""


def test_json_errors_keep_their_status_and_help_is_help(tmp_path: Path) -> None:
    result = CliRunner().invoke(group, ["check", str(tmp_path / "none.changes"), "--json"])
    assert result.exit_code == 1
    assert json.loads(result.stdout)
    assert CliRunner().invoke(group, ["render", "--json", "--help"]).exit_code == 0
    for name in COMMANDS:
        assert "Traceback" not in CliRunner().invoke(group, [name, "--json"]).output


def test_the_command_is_named_as_it_can_be_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = tmp_path / "bin dir" / "porchswing"
    script.parent.mkdir()
    script.write_text("#!/bin/sh\n")
    script.chmod(0o755)
    monkeypatch.setattr(sys, "argv", [str(script)])
    monkeypatch.setenv("PATH", "")
    assert base.command_word() == f"'{script}'"
    monkeypatch.setenv("PATH", str(script.parent))
    assert base.command_word() == "porchswing"
    monkeypatch.setattr(sys, "argv", ["/somewhere/porchswing/__main__.py"])
    assert base.command_word() == f"{sys.executable} -m porchswing"
