"""``porchswing setlist``: the PDF as poppler reads it, times as the tracks have them."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner, Result

from porchswing.cli.main import group

SET = """
title = "Two on the porch"
gap_s = 20
[[tune]]
chart = "first.changes"
key = "Bb"
tempo = 150
choruses = 3
note = "ends & stays"
[[tune]]
chart = "second.changes"
count-in = 1
"""
FIRST = "title: First Light\nkey: F\ntempo: 120\n[A]\n| F | Gm | C7 | F |\n"
SECOND = "title: Second Cup\nkey: D minor\nmeter: 6/8\ntempo: 64\n[A]\n| Dm | A7 | Dm | A7 |\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "two.toml").write_text(SET, "utf-8")
    (tmp_path / "first.changes").write_text(FIRST, "utf-8")
    (tmp_path / "second.changes").write_text(SECOND, "utf-8")
    return tmp_path


def run(*words: object) -> Result:
    return CliRunner().invoke(group, [str(word) for word in words])


def test_times_are_those_of_the_tracks(folder: Path) -> None:
    """The length of the MIDI that ``render`` writes with the same options, by mido."""
    done = run("setlist", folder / "two.toml", "-o", folder / "out", "--json")
    assert done.exit_code == 0, done.output
    facts = json.loads(done.stdout)
    options = (("--key", "Bb", "--tempo", 150, "--choruses", 3), ("--count-in", 1))
    for tune, name, words in zip(facts["tunes"], ("first", "second"), options, strict=True):
        midi = folder / f"{name}.mid"
        assert run("render", folder / f"{name}.changes", "-o", midi, "-q", *words).exit_code == 0
        assert tune["seconds"] == pytest.approx(mido.MidiFile(midi).length, abs=0.05)
    assert facts["seconds"] == pytest.approx(sum(t["seconds"] for t in facts["tunes"]) + 20)
    assert [(t["title"], t["key"], t["tempo"], t["count"]) for t in facts["tunes"]] == [
        ("First Light", "Bb", 150, "1 2 | 1 2 3 4"),
        ("Second Cup", "D minor", 64, "1 2 3 4 5 6"),
    ]


@pytest.mark.parametrize(("paper", "size"), [("a4", "A4"), ("letter", "letter")])
def test_the_pdf_lists_the_tunes_then_has_a_page_for_each(
    folder: Path, paper: str, size: str, need_program: Callable[[str], str]
) -> None:
    words = ("setlist", folder / "two.toml", "-o", folder / "out", "-q", "--paper", paper)
    assert run(*words).exit_code == 0
    pdf = folder / "out" / "two.pdf"
    told = subprocess.run(
        [need_program("pdfinfo"), pdf], capture_output=True, text=True, check=True
    )
    assert "Pages:           3" in told.stdout
    assert size in told.stdout
    text = [need_program("pdftotext"), "-layout", pdf, "-"]
    pages = subprocess.run(text, capture_output=True, text=True, check=True).stdout.split("\f")
    order = " ".join(pages[0].split())
    assert "Two on the porch" in order
    assert "1 First Light" in order
    assert "B♭ 150 3 1 2 | 1 2 3 4" in order
    assert "ends & stays" in order
    assert "2 tunes," in order
    assert "20 s from each to the next" in order
    assert "1. First Light" in pages[1]
    assert "3 times" in pages[1]
    assert "2. Second Cup" in pages[2]
    assert "Dm6" in pages[2]


def test_the_same_set_is_the_same_bytes(folder: Path) -> None:
    for out in ("one", "two"):
        assert run("setlist", folder / "two.toml", "-o", folder / out, "-q").exit_code == 0
    for name in ("two.pdf", "two-stand.html"):
        assert (folder / "one" / name).read_bytes() == (folder / "two" / name).read_bytes()


def test_errors_are_said_in_a_paragraph(folder: Path) -> None:
    (folder / "two.toml").write_text(SET.replace("tempo = 150", "tempo = 1500"), "utf-8")
    done = run("setlist", folder / "two.toml", "-o", folder / "out")
    assert done.exit_code == 1
    assert "two.toml: tune[0].tempo" in done.output
    (folder / "two.toml").write_text(SET.replace("first.changes", "gone.changes"), "utf-8")
    done = run("setlist", folder / "two.toml", "-o", folder / "out")
    assert done.exit_code == 1
    assert f"two.toml: tune[0].chart: no file {folder / 'gone.changes'}" in done.output
    (folder / "two.toml").write_text(SET.replace("first.changes", "fist.changes"), "utf-8")
    done = run("setlist", folder / "two.toml", "-o", folder / "out")
    assert f"did you mean {folder / 'first.changes'}?" in done.output
    assert not (folder / "out").exists()


def test_the_set_of_the_demos_can_be_made(root: Path, tmp_path: Path) -> None:
    done = run("setlist", root / "demos" / "porch_evening.toml", "-o", tmp_path)
    assert done.exit_code == 0, done.output
    assert "An evening on the porch: 3 tunes, " in done.output
