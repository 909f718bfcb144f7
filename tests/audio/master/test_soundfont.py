"""The SoundFont road: FluidSynth's library with Debian's FluidR3 General MIDI SoundFont."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from porchswing.audio.master.loudness import integrated_lufs
from porchswing.audio.master.soundfont import check_soundfont, write_through_soundfont
from porchswing.errors import MissingExtraError, OptionError
from porchswing.midi.smf import midi_bytes
from support.hand_performances import band, note, performance

SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")


@pytest.fixture
def soundfont(need_module, need_file):
    need_module("fluidsynth")
    return need_file(SOUNDFONT, "apt install fluid-soundfont-gm")


def test_a_take_through_a_soundfont(tmp_path, soundfont):
    take = band(4.0)
    paths = [tmp_path / "a.wav", tmp_path / "a.flac"]
    report = write_through_soundfont(midi_bytes(take), take.end_s, soundfont, paths)
    sound, rate_hz = soundfile.read(paths[0], dtype="float32")
    assert integrated_lufs(sound, rate_hz) == pytest.approx(-18.0, abs=0.05)
    assert report.true_peak_dbtp <= -1.0
    assert report.seconds == pytest.approx(len(sound) / rate_hz)
    np.testing.assert_array_equal(sound, soundfile.read(paths[1], dtype="float32")[0])


def test_its_notes_are_where_the_midi_has_them(tmp_path, soundfont):
    take = performance(3.0, chords=[note(1.0, 1.5, 69, 100, string=1, fret=0)])
    path = tmp_path / "a.wav"
    write_through_soundfont(midi_bytes(take), take.end_s, soundfont, [path])
    sound, rate_hz = soundfile.read(path)
    first = int(np.argmax(np.abs(sound).max(axis=1) > 0.02))
    # FluidSynth starts notes on blocks of 64 samples, and its player rounds to milliseconds
    assert first / rate_hz == pytest.approx(1.0, abs=0.01)


def test_what_is_no_soundfont_is_refused(tmp_path):
    with pytest.raises(OptionError, match="cannot read the SoundFont"):
        check_soundfont(tmp_path / "none.sf2")
    (tmp_path / "some.sf2").write_bytes(b"RIFF1234WAVE")
    with pytest.raises(OptionError, match="is not a SoundFont"):
        check_soundfont(tmp_path / "some.sf2")


def test_a_missing_library_is_said(tmp_path, monkeypatch):
    (tmp_path / "some.sf2").write_bytes(b"RIFF1234sfbk")
    monkeypatch.setitem(sys.modules, "fluidsynth", None)
    take = performance(1.0, chords=[])
    with pytest.raises(MissingExtraError, match=r"pip install .*\[soundfont\]"):
        write_through_soundfont(midi_bytes(take), 1.0, tmp_path / "some.sf2", [tmp_path / "a.wav"])
    assert not (tmp_path / "a.wav").exists()
