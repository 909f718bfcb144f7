"""The porch around the band: a stereo room response, convolved at half the sample rate.

The send is halved in rate, convolved with a generated response by overlap-save FFT and
doubled again. Quarter rate would be cheaper but leaves audible images; at half rate the
response itself carries almost nothing near the images. The response is noise whose highs die
first, behind a few early reflections, different left and right.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.synth.noise import white

if TYPE_CHECKING:
    from numpy.typing import NDArray


class RoomRow(NamedTuple):
    """A room: its length, decays to 1/e low and high, band, and when its sound begins."""

    name: str
    seconds: float
    low_decay_s: float
    high_decay_s: float
    low_hz: float
    high_hz: float
    delay_s: float
    early: tuple[tuple[float, float, float], ...]
    early_gain: float


PORCH = RoomRow(
    "porch",
    seconds=0.52,
    low_decay_s=0.085,
    high_decay_s=0.030,
    low_hz=220.0,
    high_hz=5200.0,
    delay_s=0.006,
    # (seconds, left, right): the boards, the wall behind, the rail
    early=(
        (0.0047, 0.7, 0.4),
        (0.0083, 0.35, 0.65),
        (0.0127, 0.5, 0.3),
        (0.0179, 0.25, 0.45),
        (0.0241, 0.3, 0.2),
    ),
    early_gain=0.6,
)

_WEIGHTS = (np.float32(150 / 256), np.float32(-25 / 256), np.float32(3 / 256))
"""Half-band filter by Lagrange interpolation: of the two neighbours, the next two, the third."""

EDGE = 6
"""Half-rate samples the two rate changes need from before the block."""


def response(row: RoomRow, rate_hz: int, frames: int) -> NDArray[np.float32]:
    """Return the room's response, shape (2, frames), energy 1 a side, without DC."""
    time, size = np.arange(frames) / rate_hz, _fast_size(frames * 5 // 4)
    noise = np.stack([white(0x706F726368 + side, frames) for side in range(2)]).astype(np.float64)
    dull = _filtered(noise, _one_pole(1100.0, size, rate_hz))
    tail = dull * (0.9 * np.exp(-time / row.low_decay_s))
    tail += (noise - dull) * np.exp(-time / row.high_decay_s)
    tail *= np.clip((time - row.delay_s) / 0.012, 0.0, 1.0)
    tail /= np.sqrt(np.sum(tail**2, axis=1, keepdims=True))
    for at_s, *gains in row.early:
        tail[:, round(at_s * rate_hz)] += row.early_gain * np.array(gains)
    below_high, below_low = (_one_pole(hz, size, rate_hz) for hz in (row.high_hz, row.low_hz))
    tail = _filtered(tail, below_high**2 * (1.0 - below_low))
    tail *= np.clip((row.seconds - time) / 0.05, 0.0, 1.0)
    tail -= tail.mean(axis=1, keepdims=True)
    tail /= np.sqrt(np.sum(tail**2, axis=1, keepdims=True))
    return tail.astype(np.float32)


def _one_pole(hz: float, size: int, rate_hz: int) -> NDArray[np.complex128]:
    """Return the spectrum of a one-pole low-pass over an even ``size`` of frames."""
    decay = np.exp(-2.0 * np.pi * hz / rate_hz)
    turn = np.arange(size // 2 + 1) * (-2j * np.pi / size)
    spectrum: NDArray[np.complex128] = (1.0 - decay) / (1.0 - decay * np.exp(turn))
    return spectrum


def _filtered(sound: NDArray[np.float64], spectrum: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return the sound through filters that have died after a quarter of its length."""
    size = 2 * (spectrum.size - 1)
    return np.fft.irfft(np.fft.rfft(sound, size) * spectrum, size)[:, : sound.shape[1]]


class RoomBuffers(NamedTuple):
    """What one thread works in: fresh memory costs more than the arithmetic done in it."""

    phases: NDArray[np.float32]
    slow: NDArray[np.float32]
    spectra: NDArray[np.complex64]
    sound: NDArray[np.float32]
    scratch: NDArray[np.float32]


class Room:
    """A room at one rate and block length; :meth:`add` is a pure function of the send."""

    def __init__(self, row: RoomRow, rate_hz: int, block_frames: int) -> None:
        self._half = block_frames // 2
        frames = round(row.seconds * rate_hz / 2)
        self.history_frames = 2 * (frames + 2 * EDGE)
        self._slow = (self.history_frames + block_frames) // 2 - EDGE + 1
        self._size = _fast_size(self._slow)
        self._spectra = np.empty((2, self._size // 2 + 1), np.complex64)
        sound, turned = np.zeros((2, self._size), np.float32)
        for side, spectrum in zip(response(row, rate_hz // 2, frames), self._spectra, strict=True):
            sound[:frames] = side
            _spectrum(sound, spectrum, turned)
        self._spectra *= np.float32(self._size / 4.0) ** 2

    def buffers(self) -> RoomBuffers:
        """Return buffers for one thread."""
        bins = self._size // 2 + 1
        return RoomBuffers(
            np.empty((2, self._slow + EDGE - 1), np.float32),
            np.zeros(self._size, np.float32),
            np.empty((3, bins), np.complex64),
            np.empty((2, self._size), np.float32),
            np.empty((2, 2, self._slow), np.float32),
        )

    def add(
        self,
        send: NDArray[np.float32],
        dry: NDArray[np.float32],
        stereo: NDArray[np.float32],
        buffers: RoomBuffers,
    ) -> None:
        """Write a block with the room's sound added to it to ``stereo``, shape (2, frames).

        ``send`` is the room send: :attr:`history_frames` from before the block, then the block.
        """
        np.copyto(buffers.phases, send.reshape(-1, 2).T)
        _halve(buffers.phases, buffers.slow[: self._slow], buffers.scratch[0, 0])
        spectra, sound = buffers.spectra, buffers.sound
        _spectrum(buffers.slow, spectra[2], sound[0])
        np.multiply(self._spectra, spectra[2], out=spectra[:2])
        np.fft.irfft(spectra[:2], self._size, out=sound)  # type: ignore[arg-type] # stubs know float64
        first = self._slow - self._half - 3
        last = self._slow - 3
        between, pair = buffers.scratch[:, :, : self._half]
        for step, weight in enumerate(_WEIGHTS):
            into = pair if step else between
            after = sound[:, first + 1 + step : last + 1 + step]
            np.add(after, sound[:, first - step : last - step], out=into)
            into *= weight
            if step:
                between += pair
        np.add(dry[:, 0::2], sound[:, first:last], out=stereo[:, 0::2])
        np.add(dry[:, 1::2], between, out=stereo[:, 1::2])


def _halve(
    phases: NDArray[np.float32], slow: NDArray[np.float32], scratch: NDArray[np.float32]
) -> None:
    """Write every second sample through the half-band filter to ``slow``, five fewer than given.

    ``phases`` holds the even and the odd samples.
    """
    even, odd = phases
    count = slow.size
    np.multiply(even[3 : 3 + count], np.float32(0.5), out=slow)
    for step, weight in enumerate(_WEIGHTS):
        np.add(odd[2 - step : 2 - step + count], odd[3 + step : 3 + step + count], out=scratch)
        scratch *= np.float32(0.5) * weight
        slow += scratch


def _spectrum(
    sound: NDArray[np.float32], spectrum: NDArray[np.complex64], turned: NDArray[np.float32]
) -> None:
    """Write the spectrum of a sound, divided by a quarter of its even size, to ``spectrum``.

    Numpy's inverse transform of real sounds takes half the time of its forward one (145 and
    260 us for our 57,600 samples), so one is made of the other (all in all 185 us): the even
    and the odd part of the sound, as real and imaginary parts, become the sum of the real and
    the imaginary parts of the spectrum (Hartley's transform; Bracewell, J. Opt. Soc. Am. 73,
    1983), of which again one is even and one odd.
    """
    _even_and_odd(sound, spectrum)
    np.fft.irfft(spectrum, sound.size, out=turned)  # type: ignore[arg-type] # stubs know float64
    _even_and_odd(turned, spectrum)


def _even_and_odd(sound: NDArray[np.float32], pairs: NDArray[np.complex64]) -> None:
    """Write twice the even part of a sound to the real parts, twice the odd to the imaginary."""
    middle = sound.size // 2
    ahead, back = sound[1:middle], sound[:middle:-1]
    np.add(ahead, back, out=pairs.real[1:middle])
    np.subtract(ahead, back, out=pairs.imag[1:middle])
    pairs[0], pairs[middle] = 2.0 * sound[0], 2.0 * sound[middle]


def _fast_size(least: int) -> int:
    """Return the smallest length of a power of two times 1, 9, 15 or 225 that holds ``least``.

    These factors were the fastest of those tried: few, small and mostly two.
    """
    sizes = (factor << shift for factor in (1, 9, 15, 225) for shift in range(8, 24))
    return min(size for size in sizes if size >= least)
