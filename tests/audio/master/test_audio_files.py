"""The whole road from a performance to a file: samples, bytes, stems, loops, refusals."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import wave
import weakref
from dataclasses import replace

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings, strategies as st

from porchswing.audio.master.audio_files import write_files, write_samples, write_stems
from porchswing.audio.master.encode import wav_header
from porchswing.audio.master.loudness import integrated_lufs
from porchswing.audio.master.mastering import Spool
from porchswing.audio.mix import mixdown as render
from porchswing.audio.mix.mixdown import Renderer, render_blocks
from porchswing.audio.mix.strikes import schedule_of
from porchswing.errors import OptionError, OutputError
from porchswing.options import SoundSettings
from support.hand_performances import band, note, performance
from support.sound_files import true_peak_dbtp, write_audio

RATE_HZ = 44100


def whole(take, **options):
    return np.concatenate(list(render_blocks(take, **options)))


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_blocks_are_stereo_float32_and_finite():
    blocks = list(render_blocks(band(5.0)))
    assert all(block.dtype == np.float32 and block.shape[1] == 2 for block in blocks)
    assert all(np.isfinite(block).all() for block in blocks)
    assert sum(len(block) for block in blocks) >= 5.0 * RATE_HZ


def test_samples_do_not_depend_on_the_block(monkeypatch):
    """The room, the filters and every note carry on over the border of two blocks."""
    take = band(9.0)
    usual = whole(take)
    for steps in (6, 10, 33):
        monkeypatch.setattr(render, "BLOCK_STEPS", 2 * steps)
        np.testing.assert_allclose(whole(take), usual, atol=2e-6)


def test_a_block_by_itself_is_the_block_in_a_row():
    """What makes two threads give the same samples as one."""
    renderer = Renderer(schedule_of(band(9.0)))
    work = renderer.workspace()
    in_a_row = [renderer.block(index, work).copy() for index in range(renderer.blocks)]
    for index, block in enumerate(in_a_row):
        np.testing.assert_array_equal(renderer.block(index, renderer.workspace()), block)


@pytest.mark.parametrize("bit_depth", [16, 24])
def test_same_bytes_again_and_with_any_threads(tmp_path, bit_depth):
    take = band(13.0)
    digests = set()
    for place, threads in enumerate((1, 2, 3, 2)):
        path = tmp_path / f"{place}.wav"
        write_audio(take, path, SoundSettings(bit_depth=bit_depth), threads=threads)
        digests.add(digest(path))
    assert len(digests) == 1


def test_the_sounds_are_dropped_before_the_mix_is_mastered(tmp_path, monkeypatch):
    """An hour's distinct sounds are a third of what it takes."""
    renderers, alive = [], []
    make, master = Renderer.__init__, Spool.master

    def made(self, *arguments, **named):
        make(self, *arguments, **named)
        renderers.append(weakref.ref(self))

    def mastered(self, *arguments, **named):
        alive.append([renderer() for renderer in renderers])
        return master(self, *arguments, **named)

    monkeypatch.setattr(Renderer, "__init__", made)
    monkeypatch.setattr(Spool, "master", mastered)
    for threads in (1, 2):
        write_audio(band(5.0), tmp_path / f"{threads}.wav", threads=threads)
    assert alive == [[None], [None, None]]


def test_same_bytes_in_another_process(tmp_path):
    code = (
        "import sys; from support.hand_performances import band; "
        "from support.sound_files import write_audio; "
        "write_audio(band(3.0), sys.argv[1])"
    )
    digests = set()
    for seed in ("1", "2"):
        path = tmp_path / f"{seed}.wav"
        paths = os.pathsep.join(sys.path)
        environment = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": paths}
        subprocess.run([sys.executable, "-c", code, path], check=True, env=environment)
        digests.add(digest(path))
    write_audio(band(3.0), tmp_path / "here.wav")
    assert digests == {digest(tmp_path / "here.wav")}


def test_a_cold_render_imports_no_scipy(tmp_path, root):
    """From the chart to the WAV in a fresh process: nothing heavy that only tests need.

    A second thread keeps everything in the one process that is looked into.
    """
    chart = root / "demos" / "pickled_lemon_blues.changes"
    code = (
        "import sys, threading; from porchswing.cli.main import main\n"
        "threading.Thread(target=threading.Event().wait, daemon=True).start()\n"
        "try: main()\n"
        "except SystemExit as end: assert not end.code, end.code\n"
        "heavy = {'scipy', 'pyloudnorm', 'soundfile', 'librosa', 'mido'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "assert 'numpy' in sys.modules\n"
    )
    command = [sys.executable, "-c", code, "render", chart, "-o", tmp_path / "a.wav", "-q"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    subprocess.run(command, check=True, env=environment)
    assert (tmp_path / "a.wav").stat().st_size > 1_000_000


@pytest.mark.parametrize("bit_depth", [16, 24])
@pytest.mark.parametrize("rate_hz", [22050, 44100, 48000])
def test_our_wav_is_read_by_others(tmp_path, bit_depth, rate_hz):
    """Python's wave module and libsndfile read what we wrote, at the level we report."""
    path = tmp_path / "a.wav"
    report = write_audio(band(4.0), path, SoundSettings(rate_hz=rate_hz, bit_depth=bit_depth))
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getframerate()) == (2, rate_hz)
        assert file.getsampwidth() == bit_depth // 8
        assert file.getnframes() / rate_hz == pytest.approx(report.seconds)
    sound, read_hz = soundfile.read(path, dtype="float32")
    assert read_hz == rate_hz
    assert integrated_lufs(sound, rate_hz) == pytest.approx(report.loudness_lufs, abs=0.02)
    assert true_peak_dbtp(sound, rate_hz) == pytest.approx(report.true_peak_dbtp, abs=0.05)
    assert abs(sound.mean()) < 10 ** (-80 / 20)


@pytest.mark.parametrize("target_lufs", [-14.0, -18.0, -23.0, -30.0])
def test_loudness_or_the_ceiling_is_reached(tmp_path, target_lufs):
    report = write_audio(band(5.0), tmp_path / "a.wav", SoundSettings(loudness_lufs=target_lufs))
    assert report.true_peak_dbtp <= -1.0 + 1e-6
    if report.held_back_db:
        assert report.true_peak_dbtp == pytest.approx(-1.0, abs=0.01)
        expected = target_lufs - report.loudness_lufs
        assert report.held_back_db == pytest.approx(expected, abs=0.01)
        assert "held the loudness back" in report.note
    else:
        assert report.loudness_lufs == pytest.approx(target_lufs, abs=0.01)
        assert report.note == ""


def test_a_held_back_loudness_is_said(tmp_path):
    report = write_audio(band(5.0), tmp_path / "a.wav", SoundSettings(loudness_lufs=-6.0))
    assert report.held_back_db > 3.0
    assert f"{report.held_back_db:.1f} dB" in report.note


@pytest.mark.parametrize("bit_depth", [16, 24])
@pytest.mark.parametrize("suffix", [".wav", ".flac"])
def test_stems_sum_to_their_mix(tmp_path, bit_depth, suffix):
    """Added sample by sample the stems are the mix to the last step, not merely near it."""
    take = band(5.0)
    paths = {name: tmp_path / f"{name}{suffix}" for name in ("chords", "bass", "drums")}
    report = write_stems(schedule_of(take), paths, SoundSettings(bit_depth=bit_depth))
    stems = [soundfile.read(path, dtype="int32")[0].astype(np.int64) for path in paths.values()]
    total = sum(stems) >> (32 - bit_depth)
    write_audio(take, tmp_path / "mix.wav", SoundSettings(bit_depth=bit_depth))
    mix = soundfile.read(tmp_path / "mix.wav", dtype="int32")[0].astype(np.int64) >> (
        32 - bit_depth
    )
    allowed = 1 if bit_depth == 16 else 16  # float32 sums, far below 24 bits' own noise
    assert np.abs(total - mix).max() <= allowed
    assert report.loudness_lufs == pytest.approx(-18.0, abs=0.01)


def test_flac_holds_the_samples_of_the_wav(tmp_path):
    paths = [tmp_path / "a.wav", tmp_path / "a.flac"]
    write_files(schedule_of(band(4.0)), paths)
    wav, flac = (soundfile.read(path, dtype="int16")[0] for path in paths)
    np.testing.assert_array_equal(wav, flac)


def test_all_formats_from_one_render(tmp_path):
    paths = [tmp_path / f"a{suffix}" for suffix in (".wav", ".flac", ".ogg", ".mp3")]
    seen = []
    report = write_files(schedule_of(band(4.0)), paths, progress=seen.append)
    for path in paths:
        info = soundfile.info(path)
        assert info.frames / info.samplerate == pytest.approx(report.seconds, abs=0.06)
        sound = soundfile.read(path, dtype="float32")[0]
        assert integrated_lufs(sound, RATE_HZ) == pytest.approx(report.loudness_lufs, abs=0.3)
    assert max(seen) == pytest.approx(1.0)
    assert min(seen) > 0.0


def strings_of(take, *, loop=False):
    renderer = Renderer(schedule_of(take, takes=1), parts=("chords", "bass"), loop=loop)
    work = renderer.workspace()
    blocks = [renderer.block(index, work).T.copy() for index in range(renderer.blocks)]
    return np.concatenate(blocks)


def test_a_loop_is_the_middle_of_endless_repeats():
    """The tail comes round to the front: twice the loop is the second and third of many passes."""
    once = band(4.0)
    length = 4.0
    parts = []
    for part in once.parts:
        turns = [
            replace(one, onset_s=one.onset_s + turn * length, end_s=one.end_s + turn * length)
            for turn in range(3)
            for one in part.notes
        ]
        parts.append(replace(part, notes=tuple(turns)))
    thrice = replace(once, end_s=3 * length, parts=tuple(parts))
    assert len(whole(once, loop=True)) == round(length * RATE_HZ)
    # round robins of takes start again in the loop: compare the strings alone, in one take
    loop = strings_of(once, loop=True)
    middle = strings_of(thrice)[len(loop) : 2 * len(loop)]
    np.testing.assert_allclose(loop, middle, atol=2e-6)
    seam = np.abs(np.diff(np.concatenate((loop[-50:], loop[:50])), axis=0)).max()
    assert seam <= np.abs(np.diff(loop, axis=0)).max()


@pytest.mark.parametrize("more_frames", [0, 1])
def test_a_loop_is_the_take_with_its_tail_in_front(more_frames):
    """To the last bit of the room, which works at half the rate: a loop has whole such frames."""
    take = replace(band(4.0), end_s=4.0 + more_frames / RATE_HZ)
    loop, once = whole(take, loop=True), whole(take)
    assert len(loop) == 4.0 * RATE_HZ + 2 * more_frames
    tail = once[len(loop) :]
    folded = once[: len(loop)].copy()
    folded[: len(tail)] += tail
    np.testing.assert_allclose(loop, folded, atol=1e-6)


def test_a_fade_ends_in_silence():
    take = band(6.0)
    plain, faded = whole(take), whole(take, fade_s=2.0)
    start = len(plain) - round(2.0 * RATE_HZ)
    np.testing.assert_array_equal(plain[:start], faded[:start])
    assert np.abs(faded[-200:]).max() < 1e-3 * np.abs(plain).max()


def test_parts_are_left_out():
    take = band(4.0)
    without = whole(take, parts=("bass", "drums"))
    only = whole(take, parts=("chords",))
    full = whole(take)
    total = np.zeros_like(full)
    for some in (without, only):
        total[: len(some)] += some
    np.testing.assert_allclose(total, full, atol=2e-6)


def test_an_empty_performance_is_silence(tmp_path):
    report = write_audio(performance(1.0, chords=[]), tmp_path / "a.wav")
    assert report.loudness_lufs == -np.inf
    assert np.abs(soundfile.read(tmp_path / "a.wav", dtype="int16")[0]).max() <= 1


def test_given_samples_are_written(tmp_path):
    sound = whole(band(3.0))
    report = write_samples(sound, [tmp_path / "a.flac"], SoundSettings(loudness_lufs=-20.0))
    back = soundfile.read(tmp_path / "a.flac", dtype="float32")[0]
    assert integrated_lufs(back, RATE_HZ) == pytest.approx(-20.0, abs=0.05)
    assert report.seconds == pytest.approx(len(sound) / RATE_HZ)


@pytest.mark.parametrize(
    ("options", "word"),
    [
        ({"rate_hz": 7000}, "rate_hz must be a whole number from 8000 to 192000 Hz, got 7000"),
        ({"bit_depth": 20}, "bit_depth must be one of 16, 24, got 20"),
        ({"loudness_lufs": -3.0}, "loudness_lufs must be -40 to -5 LUFS, got -3"),
    ],
)
def test_impossible_options_are_refused(tmp_path, options, word):
    with pytest.raises(OptionError, match=word):
        write_audio(band(1.0), tmp_path / "a.wav", SoundSettings(**options))
    assert not list(tmp_path.iterdir())


def test_unknown_suffixes_are_refused(tmp_path):
    with pytest.raises(OptionError, match=r"suffix of 'a\.xyz' must be one of \.wav"):
        write_audio(band(1.0), tmp_path / "a.xyz")


def test_a_wav_past_its_size_is_refused():
    with pytest.raises(OutputError, match="4 GiB"):
        wav_header(2**31, 44100, 16)


def test_ctrl_c_leaves_nothing(tmp_path):
    def stop(share):
        if share > 0.3:
            raise KeyboardInterrupt

    for paths in ([tmp_path / "a.wav"], [tmp_path / "a.wav", tmp_path / "a.flac"]):
        with pytest.raises(KeyboardInterrupt):
            write_files(schedule_of(band(12.0)), paths, progress=stop)
        assert not list(tmp_path.iterdir())


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(0, 1.5), st.floats(0.001, 3), st.integers(24, 100), st.integers(1, 127),
            st.sampled_from(["ring", "damp", "chuck", "slur", "mute"]),
            st.sampled_from([1, 2, 3, 4]), st.integers(0, 15),
        ),
        max_size=6,
    ),
    st.sampled_from(["chords", "bass", "line", "melody", "drums", "count"]),
)  # fmt: skip
def test_any_notes_give_finite_sound(rows, part):
    notes = [
        note(on, on + lasts, pitch, velocity, touch=touch, string=string, fret=fret)
        for on, lasts, pitch, velocity, touch, string, fret in rows
    ]
    sound = whole(performance(2.0, **{part: notes}), rate_hz=11025)
    assert np.isfinite(sound).all()
    assert len(sound) >= 2 * 11020
