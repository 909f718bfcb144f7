"""A take gives its music as files, file objects, bytes, samples and pretty_midi objects."""

from __future__ import annotations

import io
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import porchswing as ps

CHART = ps.parse_chart("title: Two Cups\nkey: F\ntempo: 160\n[A]\n| F Dm7 | Gm7 C7 |\n")


@pytest.fixture(scope="module")
def take() -> ps.Take:
    return ps.take_from_chart(CHART, ps.Choices(sound=ps.SoundSettings(bit_depth=24)))


def test_samples_are_what_the_file_holds(take: ps.Take, tmp_path: Path) -> None:
    """soundfile reads the 24-bit file; half a step of rounding is all that may differ."""
    import soundfile

    samples = take.samples()
    assert samples.dtype == np.float32
    assert samples.ndim == 2
    assert samples.shape[1] == 2
    take.write_audio(tmp_path / "take.wav")
    heard, rate_hz = soundfile.read(tmp_path / "take.wav", dtype="float64")
    assert rate_hz == take.choices.sound.rate_hz
    assert heard.shape == samples.shape
    assert np.abs(heard - samples).max() <= 2.0**-23


def test_samples_are_as_loud_as_the_report_says(take: ps.Take, tmp_path: Path) -> None:
    """pyloudnorm's meter agrees within the ±0.1 LU of EBU Tech 3341, and its own 0.045."""
    import pyloudnorm

    report = take.write_audio(tmp_path / "take.wav")
    heard = pyloudnorm.Meter(take.choices.sound.rate_hz).integrated_loudness(take.samples())
    assert heard == pytest.approx(report.loudness_lufs, abs=0.15)
    wanted = take.choices.sound.loudness_lufs
    assert report.loudness_lufs == pytest.approx(wanted - report.held_back_db, abs=0.05)


def test_midi_bytes_are_the_files(take: ps.Take, tmp_path: Path) -> None:
    take.write_midi(tmp_path / "take.mid", file_format=0)
    assert (tmp_path / "take.mid").read_bytes() == take.midi_bytes(file_format=0)
    assert take.midi_bytes() != take.midi_bytes(file_format=0)


def test_pretty_midi_has_the_notes_of_the_performance(take: ps.Take) -> None:
    pretty = take.to_pretty_midi()
    chords = next(each for each in pretty.instruments if "chords" in each.name.lower())
    played = take.performance.part("chords").notes
    assert {note.pitch for note in chords.notes} == {note.pitch for note in played}
    first = min(note.onset_s for note in played)
    assert min(note.start for note in chords.notes) == pytest.approx(first, abs=0.002)


def test_without_pretty_midi_the_error_names_the_extra(
    take: ps.Take, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pretty_midi", None)
    with pytest.raises(ps.MissingExtraError, match=r'extra "analysis".*pip install'):
        take.to_pretty_midi()


@pytest.mark.parametrize("file_format", ["wav", "flac", "mp3"])
def test_audio_goes_into_a_file_object(take: ps.Take, tmp_path: Path, file_format: str) -> None:
    file = io.BytesIO()
    report = take.write_audio(file, file_format=file_format)
    take.write_audio(tmp_path / f"take.{file_format}")
    assert file.getvalue() == (tmp_path / f"take.{file_format}").read_bytes()
    assert report.paths == ()
    assert report.seconds > 5


def test_midi_and_charts_go_through_file_objects(take: ps.Take) -> None:
    file = io.BytesIO()
    take.write_midi(file)
    assert file.getvalue() == take.midi_bytes()
    text = ps.write_chart(CHART)
    assert ps.read_chart(io.StringIO(text)) == ps.read_chart(io.BytesIO(text.encode())) == CHART


@pytest.mark.parametrize("method", ["write_midi", "write_audio"])
def test_what_is_no_file_is_refused(take: ps.Take, method: str) -> None:
    with pytest.raises(ps.WrongTypeError, match="path must be a path or a file object"):
        getattr(take, method)(5)


def test_a_path_and_a_format_contradict(take: ps.Take, tmp_path: Path) -> None:
    with pytest.raises(ps.OptionError, match="suffix"):
        take.write_audio(tmp_path / "take.wav", file_format="mp3")


def test_one_part_alone_means_the_same_everywhere() -> None:
    lead = ps.reharmonize(CHART)
    grips = ps.voice(lead)
    listed = ps.arrange(lead, grips, without=["chords"])
    assert ps.arrange(lead, grips, without="chords") == listed
    assert ps.Choices(without="chords") == ps.Choices(without=("chords",))
    assert ps.arrange(lead, grips).leaving_out("chords").parts == listed.parts
    assert replace(ps.Choices(), only="bass").only == ("bass",)
    one, several = (ps.reharmonize(CHART, 0, use=use) for use in ("related ii", ["related ii"]))
    assert one == several
