"""The porch: its response, and the convolution with it."""

from __future__ import annotations

import numpy as np
import pytest

from porchswing.audio.mix.room import PORCH, Room, _spectrum, response

BLOCK_FRAMES = 88200


@pytest.mark.parametrize("rate_hz", [4000, 11025, 22050, 48000])
def test_the_response_has_unit_energy_and_no_dc(rate_hz):
    sides = response(PORCH, rate_hz, round(PORCH.seconds * rate_hz))
    assert np.square(sides).sum(axis=1) == pytest.approx(1.0, abs=1e-5)
    assert np.abs(sides.sum(axis=1)) == pytest.approx(0.0, abs=1e-4)
    assert np.abs(sides[0] - sides[1]).max() > 0.05  # two ears


def test_the_spectrum_is_the_forward_transforms():
    """The forward transform made of the inverse one, against numpy's own in float64."""
    sound = np.random.default_rng(7).standard_normal(57600).astype(np.float32)
    found = np.empty(28801, np.complex64)
    _spectrum(sound, found, np.empty_like(sound))
    truth = np.fft.rfft(sound.astype(np.float64))
    assert np.abs(found * (57600 / 4) - truth).max() < 1e-6 * np.abs(truth).max()


def rendered(sends):
    """Return the room's sound for a send given from the beginning of its history."""
    room = Room(PORCH, 44100, BLOCK_FRAMES)
    send = np.zeros(room.history_frames + BLOCK_FRAMES, np.float32)
    for place, value in sends.items():
        send[place] = value
    stereo = np.empty((2, BLOCK_FRAMES), np.float32)
    room.add(send, np.zeros_like(stereo), stereo, room.buffers())
    return stereo


def test_a_click_sounds_as_the_response():
    """A click on an even sample passes the halving as half a click: the response at half rate."""
    history = Room(PORCH, 44100, BLOCK_FRAMES).history_frames
    stereo = rendered({history + 1000: 1.0})
    sides = response(PORCH, 22050, round(PORCH.seconds * 22050))
    halves = stereo[:, 0::2]  # those that are not between two of the response's own
    lag = int(np.argmax(np.correlate(halves[0], sides[0], "valid")))
    assert 0 <= 2 * lag - 1000 <= 24  # the two rate changes
    clicks = halves[:, lag : lag + sides.shape[1]]
    np.testing.assert_allclose(clicks, 0.5 * sides, atol=2e-6)


def test_a_click_before_the_block_rings_on_in_it():
    """What was sent in the history sounds as it would in one long block."""
    history = Room(PORCH, 44100, BLOCK_FRAMES).history_frames
    early = rendered({history - 2000: 1.0})
    later = rendered({history: 1.0})
    np.testing.assert_allclose(early[:, :40000], later[:, 2000:42000], atol=2e-6)
