"""MP3: gapless and tagged as other programs read it, the same by either encoder and every time.

The readers are FFmpeg (its own demuxer and decoder) and libsndfile (mpg123); the header that LAME
itself writes, through libsndfile, is the example for ours.
"""

from __future__ import annotations

import io
import json
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, strategies as st

from porchswing.audio.master import mp3
from porchswing.audio.master.encode import Sound, write_sound
from porchswing.audio.master.mp3_frames import (
    FrameCounter,
    crc16,
    gapless_frame,
    rates_kbps,
    read_header,
)
from porchswing.errors import OptionError
from porchswing.file_formats import Tags
from porchswing.options import SoundSettings

needs_lame = pytest.mark.skipif(not mp3.has_lame(), reason="no wheel of lameenc here")
needs_ffmpeg = pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs ffmpeg")

RATE_HZ = 44100


def tones(frames: int, rate_hz: int = RATE_HZ) -> np.ndarray:
    """Return two channels of plucked tones in 16 bits: music enough to align and to compare."""
    time = np.arange(frames) / rate_hz
    left = sum(
        np.sin(2 * np.pi * hz * time) * np.exp(-3.0 * ((time * 2 + place / 3) % 1))
        for place, hz in enumerate((196.0, 247.0, 330.0))
    )
    right = np.sin(2 * np.pi * 147.0 * time) * np.exp(-4.0 * (time % 0.5))
    return np.rint(np.stack([left * 5000, right * 9000], axis=1)).astype(np.int16)


def encoded(samples: np.ndarray, rate_hz: int = RATE_HZ, **more: object) -> bytes:
    file = io.BytesIO()
    mp3.write_mp3(file, [samples], rate_hz, **more)
    return file.getvalue()


def by_ffmpeg(path: Path) -> np.ndarray:
    done = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", path, "-f", "f32le", "-"], check=True, capture_output=True
    )
    assert not done.stderr
    return np.frombuffer(done.stdout, "<f4").reshape(-1, 2)


def shift_of(back: np.ndarray, samples: np.ndarray) -> int:
    """Return by how many samples what was decoded comes early, of those near none."""
    errors = {
        shift: np.sum((np.roll(back, shift, axis=0) - samples)[10:-10] ** 2)
        for shift in range(-3, 4)
    }
    return min(errors, key=errors.__getitem__)


@needs_lame
@needs_ffmpeg
@pytest.mark.parametrize("kbps", [None, 128, 320])
@pytest.mark.parametrize(
    ("rate_hz", "frames"), [(44100, 44100), (44100, 100_003), (48000, 70_000), (32000, 1152 * 20)]
)
def test_what_is_decoded_begins_and_ends_where_the_sound_does(tmp_path, rate_hz, frames, kbps):
    samples = tones(frames, rate_hz)
    path = tmp_path / "a.mp3"
    path.write_bytes(encoded(samples, rate_hz, kbps=kbps))
    back = by_ffmpeg(path)
    assert len(back) == frames
    assert shift_of(back, samples / 32768.0) == 0
    mpg123 = soundfile.read(path)[0]
    assert abs(len(mpg123) - frames) <= 1152 * 2


@needs_lame
@pytest.mark.parametrize("rate_hz", [8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000])
@pytest.mark.parametrize("channels", [1, 2])
def test_every_rate_has_its_header(rate_hz, channels):
    samples = tones(rate_hz, rate_hz)[:, :channels]
    data = encoded(samples, rate_hz, channels=channels)
    info = soundfile.info(io.BytesIO(data))
    assert (info.samplerate, info.channels) == (rate_hz, channels)
    assert info.frames / rate_hz == pytest.approx(1.0, abs=0.2)
    assert b"Xing" in data[:60]
    header = read_header(data, 0)
    assert (header.rate_hz, header.is_mono) == (rate_hz, channels == 1)


@needs_lame
@needs_ffmpeg
def test_tags_are_read_by_others(tmp_path):
    tags = Tags("Stroll ♭3: swing", "Ida Bröm", "First term", 4)
    path = tmp_path / "a.mp3"
    path.write_bytes(encoded(tones(20_000), tags=tags))
    done = subprocess.run(
        ["ffprobe", "-v", "error", "-show_entries", "format_tags", "-of", "json", path],
        check=True, capture_output=True,
    )  # fmt: skip
    found = json.loads(done.stdout)["format"]["tags"]
    assert found == {
        "title": tags.title, "artist": tags.artist, "album": tags.album, "track": "4",
    }  # fmt: skip
    assert len(by_ffmpeg(path)) == 20_000
    with soundfile.SoundFile(path) as file:
        assert file.title == tags.title


@needs_lame
def test_the_same_bytes_whatever_the_blocks():
    samples = tones(90_000)
    cut = [samples[:1], samples[1:40_000], samples[40_000:]]
    file = io.BytesIO()
    mp3.write_mp3(file, cut, RATE_HZ)
    assert file.getvalue() == encoded(samples)


def test_the_header_that_lame_itself_writes():
    """Its checksum, frame count and delay, from a file that libsndfile had it write."""
    file = io.BytesIO()
    samples = tones(100_000)
    with soundfile.SoundFile(file, "w", RATE_HZ, 2, format="MP3") as out:
        out.write(samples / 32768.0)
    data = file.getvalue()
    first = read_header(data, 0)
    at = data.index(b"Xing" if b"Xing" in data[:60] else b"Info")
    lame = at + 120
    assert crc16(data[: lame + 34]) == int.from_bytes(data[lame + 34 : lame + 36], "big")
    counter = FrameCounter()
    counter.add(data[first.size_bytes :])
    assert len(counter.starts) == int.from_bytes(data[at + 8 : at + 12], "big")
    ours = gapless_frame(counter, len(samples), is_constant=False)
    our_at = ours.index(b"Xing")
    frames_and_size = slice(at + 8, at + 16)
    assert ours[our_at + 8 : our_at + 12] == data[frames_and_size][:4]
    delay = slice(lame + 21, lame + 24)
    assert ours[our_at + 141 : our_at + 144] == data[delay]


@given(st.lists(st.integers(1, 5000), min_size=1, max_size=8))
def test_frames_are_counted_in_pieces_of_any_length(sizes):
    frame = bytes.fromhex("fffb9064") + bytes(413)
    stream = frame * 9
    counter, at = FrameCounter(), 0
    for size in [*sizes, len(stream)]:
        counter.add(stream[at : at + size])
        at += size
    assert counter.starts == [len(frame) * number for number in range(9)]
    assert counter.size_bytes == len(stream)


def test_what_is_no_frame_is_an_error():
    with pytest.raises(ValueError, match="no MPEG frame"):
        read_header(b"RIFF", 0)


@needs_lame
@needs_ffmpeg
@pytest.mark.parametrize("bit_depth", [16, 24])
def test_libsndfile_serves_without_lame(tmp_path, monkeypatch, bit_depth):
    samples = tones(60_000).astype(np.int32) << (bit_depth - 16)
    settings = SoundSettings(rate_hz=RATE_HZ, bit_depth=bit_depth, mp3_kbps=192)
    sound = Sound([samples], 60_000, settings, Tags("Stroll"))
    write_sound(tmp_path / "lame.part", tmp_path / "lame.mp3", sound)
    monkeypatch.setattr(mp3, "has_lame", lambda: False)
    write_sound(tmp_path / "other.part", tmp_path / "other.mp3", sound)
    lame, other = (by_ffmpeg(tmp_path / f"{name}.part") for name in ("lame", "other"))
    assert len(lame) == len(other) == 60_000
    for back in (lame, other):
        assert shift_of(back, samples / float(1 << (bit_depth - 1))) == 0
        level_db = 20 * np.log10(back.std() / (samples.std() / (1 << (bit_depth - 1))))
        assert -0.5 < level_db < 0.1, "LAME takes up to 0.45 dB off for a constant rate"
    assert lame.std() == pytest.approx(other.std(), rel=0.001)
    sizes = [(tmp_path / f"{name}.part").stat().st_size for name in ("lame", "other")]
    assert sizes[0] == pytest.approx(sizes[1], rel=0.05), "the same constant bit rate"


def bands_db(samples: np.ndarray, back: np.ndarray) -> np.ndarray:
    """Return the noise under the sound in octaves up to 16 kHz, in dB."""
    window = np.hanning(2048)

    def power(sound: np.ndarray) -> np.ndarray:
        frames = np.lib.stride_tricks.sliding_window_view(sound, 2048)[::1024] * window
        return (np.abs(np.fft.rfft(frames)) ** 2).sum(axis=0)

    noise, sound = power((back - samples)[:, 0]), power(samples[:, 0])
    hz = np.fft.rfftfreq(2048, 1 / RATE_HZ)
    edges = (0, 500, 1000, 2000, 4000, 8000, 16000)
    return np.array([
        10 * np.log10(noise[inside].sum() / sound[inside].sum())
        for low, high in pairwise(edges)
        for inside in [(hz >= low) & (hz < high)]
    ])  # fmt: skip


@needs_lame
@needs_ffmpeg
def test_no_octave_has_more_noise_than_through_libsndfile(tmp_path, demo_seconds):
    """Our setting beside libsndfile's own (LAME's variable quality 4) on our own music."""
    samples = demo_seconds
    floats = samples / 32768.0
    (tmp_path / "lame.mp3").write_bytes(encoded(samples))
    with soundfile.SoundFile(tmp_path / "other.mp3", "w", RATE_HZ, 2) as file:
        file.write(floats)
    ours, theirs = (
        bands_db(floats, by_ffmpeg(tmp_path / f"{name}.mp3")[: len(floats)])
        for name in ("lame", "other")
    )
    assert (ours <= theirs + 0.3).all(), (ours, theirs)


@pytest.fixture(scope="module")
def demo_seconds() -> np.ndarray:
    """Return twelve seconds of a take in 16 bits."""
    from porchswing.chart.language.reader import parse_chart
    from porchswing.options import Choices
    from porchswing.take import take_from_chart

    text = "key: F\ntempo: 138\n[A]\n| F | Dm7 | Gm7 | C7 | F6 | D7 | G7 C7 | F |\n"
    samples = take_from_chart(parse_chart(text, "four.changes"), Choices()).samples()
    return np.rint(samples[: 12 * RATE_HZ] * 32767).astype(np.int16)


def test_a_rate_that_no_mp3_has_is_refused():
    assert rates_kbps(8000)[-1] == 64
    with pytest.raises(OptionError, match="bit rate at 8000 Hz must be one of 8, 16"):
        mp3.check_kbps(320, 8000)
