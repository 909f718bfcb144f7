"""``render`` end to end: what is asked for is what is written, and it is written honestly."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pytest
import soundfile
from click.testing import CliRunner, Result

from porchswing.cli.main import group
from porchswing.recording import Recording

CHART = """
title: Gate Latch
key: F
tempo: 160
[A]
| F Dm7 | Gm7 C7 | F | F |
"""


@pytest.fixture
def chart(tmp_path: Path) -> Path:
    path = tmp_path / "gate_latch.changes"
    path.write_text(CHART, "utf-8")
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, ["render", *map(str, arguments)])


def seconds(path: Path) -> float:
    info = soundfile.info(path)
    return float(info.frames / info.samplerate)


def visible(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))


def test_the_blues_as_the_practice_mix_in_another_key(root: Path, tmp_path: Path) -> None:
    blues = root / "demos" / "pickled_lemon_blues.changes"
    line = "--formats mid,wav,flac,mp3 --key Eb --tempo 90 --swing 2.5 --without chords"
    result = run(blues, "-o", tmp_path / "out", *line.split(), "--choruses", 2, "--json")
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    files = [Path(name) for name in told["files"]]
    assert [path.suffix for path in files] == [".mid", ".wav", ".flac", ".mp3"]
    assert all(path.is_file() for path in files)
    for path in files[1:3]:
        assert abs(seconds(path) - told["seconds"]) < 0.010
    assert abs(seconds(files[3]) - told["seconds"]) < 0.060  # MP3 comes in frames of 26 ms
    assert (told["tempo"], told["swing"]) == (90, 2.5)
    midi = mido.MidiFile(files[0])
    assert abs(midi.length - told["seconds"]) < 3.0  # the recording rings on after the last bar
    names = {track.name for track in midi.tracks[1:]}
    assert "bass" in names
    assert not any("chords" in name for name in names)
    tempos = [m.tempo for m in midi.tracks[0] if m.type == "set_tempo"]
    assert abs(mido.tempo2bpm(tempos[0]) - 90) < 0.01
    keys = [m.key for m in midi.tracks[0] if m.type == "key_signature"]
    assert keys == ["Eb"]


def test_stems_sum_to_the_mix(chart: Path, tmp_path: Path) -> None:
    result = run(chart, "-o", tmp_path / "mix.wav", "--stems", "--json")
    assert result.exit_code == 0, result.output
    mix, *stems = (Path(name) for name in json.loads(result.stdout)["files"])
    assert [path.name for path in stems] == [
        f"mix.{part}.wav" for part in ("chords", "bass", "drums", "count")
    ]
    total = sum(soundfile.read(path, dtype="int16")[0].astype(int) for path in stems)
    difference = np.abs(total - soundfile.read(mix, dtype="int16")[0].astype(int))
    assert difference.max() <= 1


def test_a_file_by_its_suffix_and_a_folder_by_default(chart: Path, tmp_path: Path) -> None:
    assert run(chart, "-o", tmp_path / "new" / "a.flac").exit_code == 0
    assert visible(tmp_path / "new") == ["a.flac"]
    result = run(chart, "-o", tmp_path / "both", "--lane", "plain", "--bars", "1-2")
    assert result.exit_code == 0
    names = ["gate_latch-bars_1_2-plain.mid", "gate_latch-bars_1_2-plain.wav"]
    assert visible(tmp_path / "both") == names
    assert result.stdout.split() == [str(tmp_path / "both" / name) for name in names]


def test_another_voice_sounds_different_and_plays_the_same(chart: Path, tmp_path: Path) -> None:
    for voice in ("soprano", "tenor"):
        assert run(chart, "-o", tmp_path / voice, "--voice", voice, "-q").exit_code == 0
    soprano, tenor = (tmp_path / voice / "gate_latch.wav" for voice in ("soprano", "tenor"))
    assert soprano.read_bytes() != tenor.read_bytes()
    assert seconds(soprano) == pytest.approx(seconds(tenor), abs=1.0)


def test_24_bits_at_48_khz(chart: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    assert run(chart, "-o", path, "--bit-depth", 24, "--rate", 48000).exit_code == 0
    info = soundfile.info(path)
    assert (info.subtype, info.samplerate, info.channels) == ("PCM_24", 48000, 2)


def test_midi_format_0_on_request(chart: Path, tmp_path: Path) -> None:
    assert run(chart, "-o", tmp_path / "a.mid", "--midi-format", 0).exit_code == 0
    assert mido.MidiFile(tmp_path / "a.mid").type == 0


def test_same_inputs_and_seed_same_bytes_whatever_the_hash_seed(
    chart: Path, tmp_path: Path
) -> None:
    contents = []
    for hash_seed in ("0", "0", "1"):
        folder = tmp_path / f"run{len(contents)}"
        subprocess.run(
            [sys.executable, "-m", "porchswing", "render", chart, "-o", folder, "-q"],
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
            check=True,
        )
        contents.append([(folder / f"gate_latch.{s}").read_bytes() for s in ("mid", "wav")])
    assert contents[0] == contents[1] == contents[2]
    assert run(chart, "-o", tmp_path / "other", "--seed", 5, "-q").exit_code == 0
    assert (tmp_path / "other" / "gate_latch.mid").read_bytes() != contents[0][0]


def test_an_earlier_output_is_replaced_a_strangers_file_only_with_force(
    chart: Path, tmp_path: Path
) -> None:
    path = tmp_path / "a.mid"
    assert run(chart, "-o", path).exit_code == 0
    first = path.read_bytes()
    assert run(chart, "-o", path, "--tempo", 80).exit_code == 0
    assert path.read_bytes() != first
    path.write_bytes(b"somebody's own work")
    result = run(chart, "-o", path)
    assert result.exit_code == 1
    assert "--force" in result.stderr
    assert path.read_bytes() == b"somebody's own work"
    assert run(chart, "-o", path, "--force").exit_code == 0
    assert path.read_bytes() == first


def test_through_a_soundfont(
    chart: Path,
    tmp_path: Path,
    need_module: Callable[[str], None],
    need_file: Callable[[Path, str], Path],
) -> None:
    need_module("fluidsynth")
    font = need_file(Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"), "Debian: fluid-soundfont-gm")
    ours, theirs = tmp_path / "ours.wav", tmp_path / "theirs.wav"
    assert run(chart, "-o", ours).exit_code == 0
    result = run(chart, "-o", theirs, "--soundfont", font, "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["loudness_lufs"] == pytest.approx(-18, abs=0.3)
    assert theirs.read_bytes() != ours.read_bytes()
    assert abs(seconds(theirs) - seconds(ours)) < 4
    result = run(chart, "-o", tmp_path / "c.wav", "--soundfont", chart)
    assert result.exit_code == 1
    assert "SoundFont" in result.stderr


def interrupt(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


def test_ctrl_c_leaves_nothing(
    chart: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Recording, "write", interrupt)
    assert run(chart, "-o", tmp_path / "out").exit_code == 1
    assert visible(tmp_path / "out") == []
    assert [p for p in (tmp_path / "out").rglob("*") if p.is_file()] == []


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["-o", "a.txt"], 2, "OUT is a folder or ends in"),
        (
            ["-o", "out", "--formats", "wav,aiff"],
            2,
            "ogg, got 'aiff'",
        ),
        (["-o", "a.wav", "--formats", "wav"], 2, "--formats goes with a folder"),
        (["-o", "a.mid", "--stems"], 2, "ask for an audio format"),
        (["-o", "a.wav", "--key", "H"], 2, "must be a key, for example B, got 'H'"),
        (["-o", "a.wav", "--section", "Z"], 1, "unknown section 'Z'"),
        (["-o", "a.wav", "--strum", "nosuch"], 1, "unknown strum pattern 'nosuch'"),
        (["-o", "a.wav", "--bars", "90-91"], 1, "bars 1 to 4"),
        (["-o", "a.wav", "--tuning", "nosuch"], 1, "unknown tuning 'nosuch'"),
        (["-o", "a.wav", "--only", "chords", "--without", "chords"], 1, "no part is left"),
        (["-o", "a.wav", "--with", "melody"], 1, "there is no melody here to play"),
        (["-o", "a.wav", "--voice", "kazoo"], 1, "unknown voice 'kazoo'"),
        (["-o", "gate_latch.changes/a.wav"], 1, "cannot write"),
    ],
)
def test_errors_are_one_readable_paragraph_and_leave_nothing(
    chart: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[Any],
    code: int,
    says: str,
) -> None:
    monkeypatch.chdir(chart.parent)
    result = run(chart, *arguments)
    assert result.exit_code == code
    assert says in result.stderr
    assert "Traceback" not in result.output
    assert visible(chart.parent) == ["gate_latch.changes"]


def test_a_missing_chart_and_a_broken_one(tmp_path: Path) -> None:
    result = run(tmp_path / "none.changes", "-o", tmp_path / "a.wav")
    assert result.exit_code == 1
    assert "none.changes" in result.stderr
    (tmp_path / "b.changes").write_text("key: F\n[A]\n| F Hx |\n| C | D\n| C D E | \n")
    result = run(tmp_path / "b.changes", "-o", tmp_path / "a.wav", "--json")
    assert result.exit_code == 1
    rows = json.loads(result.stdout)["errors"]
    assert len(rows) >= 2
    assert {row["file"] for row in rows} == {str(tmp_path / "b.changes")}


def test_the_level_of_silence_is_null_in_json(tmp_path: Path) -> None:
    """RFC 8259, section 6: numbers such as Infinity are not permitted in JSON."""
    (tmp_path / "hush.changes").write_text("[A]\n| N.C. | N.C. |\n", "utf-8")
    told = run(
        tmp_path / "hush.changes", "-o", tmp_path / "a.wav", "--only", "chords", "--json"
    ).stdout
    assert "Infinity" not in told
    facts = json.loads(told)
    assert facts["loudness_lufs"] is None
    assert facts["true_peak_dbtp"] is None


def test_several_charts_in_one_render(tmp_path: Path) -> None:
    charts = []
    for name in ("one", "two"):
        path = tmp_path / f"{name}.changes"
        path.write_text("key: F\ntempo: 300\n[A]\n| F |\n", "utf-8")
        charts.append(str(path))
    out = tmp_path / "out"
    words = ["render", *charts, "-o", str(out), "--formats", "mid"]
    result = CliRunner().invoke(group, [*words, "--json"])
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    assert [Path(name).name for name in told["files"]] == ["one.mid", "two.mid"]
    assert [each["files"] for each in told["renders"]] == [[name] for name in told["files"]]
    assert all(Path(name).exists() for name in told["files"])
    single = CliRunner().invoke(group, ["render", *charts, "-o", str(tmp_path / "a.mid")])
    assert single.exit_code == 2
    assert "2 charts go into a folder" in single.stderr
    words = ["render", charts[0], "-o", str(tmp_path / "a.mid"), "--only", "chords", "bass"]
    spaced = CliRunner().invoke(group, words)
    assert spaced.exit_code == 2
    assert "there is no chart bass; several values of one option have commas" in spaced.stderr
    twice = CliRunner().invoke(group, ["render", charts[0], charts[0], "-o", str(out)])
    assert twice.exit_code == 1
    assert "would both write" in twice.stderr


def test_a_chart_from_standard_input(tmp_path: Path) -> None:
    words = ["render", "-", "-o", str(tmp_path / "a.mid")]
    result = CliRunner().invoke(group, words, input="key: F\n[A]\n| F |\n")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "a.mid").exists()
    result = CliRunner().invoke(group, words, input="key: F\n[A]\n| Fx |\n")
    assert result.exit_code == 1
    assert "<standard input>:3:4" in result.stderr


def test_mp3_the_slow_way_is_said(monkeypatch, capsys, tmp_path):
    from porchswing.cli import base

    base.note_encoder([tmp_path / "a.mp3"])
    monkeypatch.setattr(base, "has_lame", lambda: False)
    base.note_encoder([tmp_path / "a.wav"])
    assert capsys.readouterr().err == ""
    base.note_encoder([tmp_path / "a.wav", tmp_path / "a.mp3"])
    assert "pip install lameenc" in capsys.readouterr().err


def test_a_recording_whose_name_ends_in_a_slash_is_wrong_usage(tmp_path: Path) -> None:
    (tmp_path / "a.changes").write_text("key: F\n[A]\n| F |\n", "utf-8")
    words = ["render", str(tmp_path / "a.changes"), "-o", str(tmp_path / "out.mid") + "/"]
    result = CliRunner().invoke(group, words)
    assert result.exit_code == 2
    assert "ends in / like a folder and in .mid like a file" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["a.changes"]
    (tmp_path / "out.mid").mkdir()
    assert CliRunner().invoke(group, [*words, "--formats", "mid"]).exit_code == 0
