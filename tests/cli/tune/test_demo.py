"""The demo, and each of the three demo charts played through."""

from __future__ import annotations

import json
import time
from pathlib import Path

import mido
import pytest
import soundfile
from click.testing import CliRunner

from porchswing.cli.main import group

DEMOS = sorted((Path(__file__).resolve().parents[3] / "demos").glob("*.changes"))


def test_there_are_three_demo_charts() -> None:
    assert len(DEMOS) == 3


def test_demo_writes_both_mixes_and_says_what_to_open(tmp_path: Path) -> None:
    start = time.perf_counter()
    result = CliRunner().invoke(group, ["demo", "-o", str(tmp_path / "d")])
    assert result.exit_code == 0, result.output
    assert time.perf_counter() - start < 60
    written = [p for p in (tmp_path / "d").iterdir() if p.is_file()]
    assert len(written) == 5
    for path in written:
        assert str(path) in result.stdout
    full = tmp_path / "d" / "lantern_street_stroll.wav"
    practice = tmp_path / "d" / "lantern_street_stroll-without_chords.wav"
    lengths = [soundfile.info(path).duration for path in (full, practice)]
    assert min(lengths) > 60
    assert abs(lengths[0] - lengths[1]) < 4  # only the last sound rings differently
    assert "low volume" in result.stdout
    again = CliRunner().invoke(group, ["demo", "-o", str(tmp_path / "d"), "-q"])
    assert (again.exit_code, again.output) == (0, "")


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("lane", ["plain", "swing"])
def test_each_demo_is_played_through(path: Path, lane: str, tmp_path: Path) -> None:
    command = ["render", str(path), "-o", str(tmp_path), "--lane", lane, "-q"]
    result = CliRunner().invoke(group, command)
    assert result.exit_code == 0, result.output
    midi = mido.MidiFile(next(tmp_path.glob("*.mid")))
    names = [track.name for track in midi.tracks]
    assert {"chords", "bass", "drums"} <= set(names)
    sound, _ = soundfile.read(next(tmp_path.glob("*.wav")))
    assert 0.05 < abs(sound).max() < 1.0
    assert abs(midi.length - len(sound) / 44_100) < 4.0


def test_json_names_every_file(tmp_path: Path) -> None:
    result = CliRunner().invoke(group, ["demo", "-o", str(tmp_path / "out"), "--json"])
    assert result.exit_code == 0, result.output
    files = json.loads(result.stdout)["files"]
    assert len(files) == 5
    assert all(Path(name).is_file() for name in files)
