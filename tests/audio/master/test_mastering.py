"""From a mix to whole numbers: the level, the file it waits in, measuring by block, dither."""

from __future__ import annotations

import errno
import math
import os

import numpy as np
import pytest

from porchswing.audio.master import mastering
from porchswing.audio.master.loudness import step_energies
from porchswing.audio.master.mastering import (
    Spool,
    level_gain_db,
    spooled,
    spooled_blocks,
    to_integers,
)
from porchswing.audio.master.true_peak import true_peak
from porchswing.audio.mix.mixdown import Renderer, render_blocks
from porchswing.audio.mix.strikes import schedule_of
from porchswing.errors import OutputError
from support.hand_performances import band

RATE_HZ = 8000
BLOCK = 16000  # two seconds, as the renderer makes them
STEP = 800


@pytest.mark.parametrize(
    ("lufs", "peak", "wanted", "gain_db"),
    [
        (-20.0, 0.5, -18.0, 2.0),
        (-16.0, 0.5, -18.0, -2.0),
        (-20.0, 10 ** (-3 / 20), -15.0, 2.0),  # 3 dB below full scale, 1 must stay
        (-20.0, 1.0, -20.0, -1.0),  # the ceiling holds whatever is wanted
        (-math.inf, 0.0, -18.0, 0.0),
    ],
)
def test_one_gain_reaches_the_loudness_or_the_ceiling(lufs, peak, wanted, gain_db):
    found = level_gain_db(lufs, peak, wanted, -1.0)
    assert found == pytest.approx(gain_db, abs=0.0011)
    assert peak * 10 ** (found / 20) <= 10 ** (-1 / 20)


def test_a_gain_is_whole_thousandths_and_never_rounded_up():
    assert level_gain_db(-20.0, 0.9, -10.0, -1.0) == -0.085  # room for -0.0848
    assert level_gain_db(-20.0, 0.1, -17.0004, -1.0) == 2.999


def stereo_of(frames: int, seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).uniform(-0.5, 0.5, (2, frames)).astype(np.float32)


def blocks_of(sound: np.ndarray) -> list[np.ndarray]:
    starts = range(0, sound.shape[1], BLOCK)
    return [np.ascontiguousarray(sound[:, start : start + BLOCK]) for start in starts]


@pytest.fixture(params=["at any place", "at the file's own position"])
def spool(request, tmp_path, monkeypatch):
    """Return an empty spool for 2.5 blocks, also where a system writes at one position alone."""
    if request.param != "at any place":
        monkeypatch.delattr(os, "pwrite")
        monkeypatch.delattr(os, "preadv")
    with (tmp_path / "spool").open("w+b", buffering=0) as file:
        yield Spool(file, 2 * BLOCK + BLOCK // 2, BLOCK, RATE_HZ)


def test_blocks_come_back_as_they_were_put_in_any_order(spool):
    sound = stereo_of(spool.frames)
    blocks = blocks_of(sound)
    assert spool.blocks == len(blocks) == 3
    for index in (2, 0, 1):
        spool.put(index, blocks[index])
    for index in (1, 2, 0):
        np.testing.assert_array_equal(spool.get(index), blocks[index])


@pytest.mark.parametrize(
    ("first", "last"),
    [(0, 100), (BLOCK - 5, BLOCK + 5), (-7, 3), (2 * BLOCK - 1, 2 * BLOCK + 1), (0, 3 * BLOCK)],
)
def test_any_frames_are_read_with_silence_outside_the_sound(spool, first, last):
    sound = stereo_of(spool.frames)
    for index, block in enumerate(blocks_of(sound)):
        spool.put(index, block)
    padded = np.pad(sound, ((0, 0), (BLOCK, BLOCK)))
    np.testing.assert_array_equal(spool.read(first, last), padded[:, BLOCK + first : BLOCK + last])


def test_a_write_that_falls_short_is_a_full_disk(spool, monkeypatch):
    monkeypatch.setattr(spool, "_write_at", lambda _, data: len(data) - 1)
    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)):
        spool.put(0, stereo_of(BLOCK))


def test_blocks_made_elsewhere_are_measured_as_the_whole(tmp_path):
    sound = stereo_of(2 * BLOCK + BLOCK // 2)
    done = []
    blocks = blocks_of(sound)
    with spooled_blocks(
        blocks, sound.shape[1], RATE_HZ, tmp_path / "new", done.append, fade_s=0.0
    ) as spool:
        np.testing.assert_array_equal(spool.read(0, spool.frames), sound)
        measured = [spool.measured[index] for index in range(3)]
    energies = np.concatenate([one.energies for one in measured])
    np.testing.assert_allclose(energies, step_energies(sound, RATE_HZ), rtol=1e-6)
    assert max(one.peak for one in measured) == pytest.approx(true_peak(sound, RATE_HZ), rel=1e-6)
    assert done == [pytest.approx(share) for share in (1 / 3, 2 / 3, 1.0)]
    assert list((tmp_path / "new").iterdir()) == []  # the file has no name


def test_a_peak_between_two_blocks_belongs_to_one_of_them(tmp_path):
    sound = np.zeros((2, 2 * BLOCK), np.float32)
    wave = np.sin(np.pi / 2 * np.arange(-40, 40) + np.pi / 4)  # 3 dB more between the samples
    sound[0, BLOCK - 40 : BLOCK + 40] = wave * np.hanning(80)
    with spooled_blocks(blocks_of(sound), 2 * BLOCK, RATE_HZ, tmp_path, fade_s=0.0) as spool:
        found = max(one.peak for one in spool.measured.values())
    assert found == pytest.approx(true_peak(sound, RATE_HZ), rel=1e-5)
    assert found > 1.2 * np.abs(sound).max()


@pytest.mark.parametrize("threads", [1, 2, 5])
def test_shares_are_measured_as_the_whole(tmp_path, threads):
    """Where a share begins, the filter has heard what another rendered."""
    take, done = band(9.0), []
    sound = np.ascontiguousarray(np.concatenate(list(render_blocks(take, rate_hz=RATE_HZ))).T)
    renderer = Renderer(schedule_of(take), rate_hz=RATE_HZ)
    with spooled(renderer, tmp_path, threads, done.append) as spool:
        np.testing.assert_array_equal(spool.read(0, spool.frames), sound)
        measured = [spool.measured[index] for index in range(spool.blocks)]
    assert spool.blocks == 6
    energies = np.concatenate([one.energies for one in measured])
    np.testing.assert_allclose(energies, step_energies(sound, RATE_HZ), rtol=1e-5)
    assert max(one.peak for one in measured) == pytest.approx(true_peak(sound, RATE_HZ), rel=1e-5)
    assert done[-1] == 1.0
    assert done == sorted(done)
    assert 0.0 < done[0] <= 1.0


@pytest.mark.parametrize(
    ("number", "is_refused"), [(errno.ENOSPC, True), (errno.EOPNOTSUPP, False)]
)
def test_room_is_reserved_where_the_file_system_can(tmp_path, monkeypatch, number, is_refused):
    asked = []

    def reserve(handle, start, size):
        asked.append((start, size))
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "posix_fallocate", reserve)
    sound = stereo_of(BLOCK)
    if is_refused:
        refused = pytest.raises(OutputError, match=r"cannot write .*: No space left")
        with refused, spooled_blocks([sound], BLOCK, RATE_HZ, tmp_path, fade_s=0.0):
            pass
    else:
        with spooled_blocks([sound], BLOCK, RATE_HZ, tmp_path, fade_s=0.0) as spool:
            np.testing.assert_array_equal(spool.get(0), sound)
    assert asked == [(0, BLOCK * 2 * 4)]  # two channels of four bytes


def test_24_bits_are_rounded_and_held_to_their_range():
    steps = np.array([[0.0, 1.4, -1.6, 2.0**22, 0], [2.0**23, -(2.0**23), 2.0**24, -(2.0**24), 0]])
    stereo = (steps / 2**23).astype(np.float32)
    found = to_integers(stereo, np.float32(1.0), 24, 0)
    assert found.dtype == np.int32
    assert found.T.tolist() == [
        [0, 1, -2, 2**22, 0],
        [2**23 - 1, -(2**23), 2**23 - 1, -(2**23), 0],
    ]
    halves = to_integers(stereo, np.full(5, 0.5, np.float32), 24, 0)
    assert halves.T.tolist()[1] == [2**22, -(2**22), 2**23 - 1, -(2**23), 0]


@pytest.mark.parametrize(("order", "sign"), [("little", "<"), ("big", ">")])
def test_pairs_are_left_then_right_on_machines_of_either_byte_order(order, sign, monkeypatch):
    monkeypatch.setattr(mastering.sys, "byteorder", order)
    planar = np.array([[1, -2, 32767, 258], [-32768, 3, -1, -4]])
    found = mastering._pairs(planar.astype(f"{sign}i4"))
    # the numbers lie in memory as on that machine, and are read as it would
    assert np.frombuffer(found.tobytes(), f"{sign}i2").reshape(-1, 2).tolist() == planar.T.tolist()


@pytest.mark.parametrize("level", [-32768, -32767, -300.0, -1, 0, 0.3, 1, 255, 256, 32766])
def test_16_bits_are_within_a_step_and_a_half_of_the_sound_and_right_on_average(level):
    stereo = np.full((2, 20000), level / 32768, np.float32)
    stereo[1] *= -1
    found = to_integers(stereo, np.float32(1.0), 16, 3)
    assert (found.dtype, found.shape) == (np.int16, (20000, 2))
    for channel, wanted in zip(found.T.astype(int), (level, -level), strict=True):
        inside = np.clip(wanted, -32768, 32767)
        assert np.abs(channel - inside).max() <= 1.5
        if abs(wanted) < 32766:
            assert channel.mean() == pytest.approx(wanted, abs=0.02)


def test_dither_differs_by_channel_and_seed_alone_and_goes_on_past_its_table():
    silence = np.zeros((2, mastering.dither_table().size + 5000), np.float32)
    found = to_integers(silence, np.float32(1.0), 16, 3)
    assert set(np.unique(found).tolist()) == {-1, 0, 1}
    assert 0.2 < (found != 0).mean() < 0.3  # a quarter of a triangle two steps wide lies beyond 1/2
    np.testing.assert_array_equal(found, to_integers(silence, np.float32(1.0), 16, 3))
    assert (found != to_integers(silence, np.float32(1.0), 16, 4)).any()
    assert (found[:, 0] != found[:, 1]).any()
    np.testing.assert_array_equal(found[-5000:], found[:5000])  # it begins again


@pytest.mark.parametrize("frame", [0, -1])
def test_dither_reaches_the_first_and_the_last_frame(frame):
    silence = np.zeros((2, 100), np.float32)
    found = [to_integers(silence, np.float32(1.0), 16, seed)[frame] for seed in range(40)]
    assert 10 < np.count_nonzero(found) < 30  # of 80, a quarter
