"""The K-weighting of ITU-R BS.1770-4, in numpy alone.

It is two second-order filters, run here as a block product: inside rows of about 32 samples the
output is the row times a triangular matrix, and the four numbers of state that pass from row to
row are solved in groups of rows, by matrices again. Filter figures for any rate: the analogue
prototype behind the standard's 48 kHz table (shelf 1681.97 Hz, +3.99984 dB, Q 0.70718; high-pass
38.1355 Hz, Q 0.50033), bilinear transform.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.units import step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

STATES = 4
"""Numbers that two second-order filters remember."""

GROUP = 16
"""Rows whose states are found at once."""

LEVELS = 4
"""Groups of groups: enough for two minutes of rows."""


class Biquad(NamedTuple):
    """Second-order section, ``a0`` being 1."""

    b0: float
    b1: float
    b2: float
    a1: float
    a2: float


def k_weighting(rate_hz: int) -> tuple[Biquad, Biquad]:
    """Return the two sections of the K-weighting at a rate.

    >>> [round(number, 5) for number in k_weighting(48000)[0]]
    [1.53512, -2.6917, 1.19839, -1.69066, 0.73248]
    """
    k = math.tan(math.pi * 1681.974450955533 / rate_hz)
    high, q = 10.0 ** (3.999843853973347 / 20.0), 0.7071752369554196
    band = high**0.4996667741545416
    norm = 1.0 + k / q + k * k
    shelf = Biquad(
        (high + band * k / q + k * k) / norm,
        2.0 * (k * k - high) / norm,
        (high - band * k / q + k * k) / norm,
        2.0 * (k * k - 1.0) / norm,
        (1.0 - k / q + k * k) / norm,
    )
    k, q = math.tan(math.pi * 38.13547087602444 / rate_hz), 0.5003270373238773
    norm = 1.0 + k / q + k * k
    return shelf, Biquad(1.0, -2.0, 1.0, 2.0 * (k * k - 1.0) / norm, (1.0 - k / q + k * k) / norm)


class _BlockFilter(NamedTuple):
    """The cascade over one row, for row vectors.

    ``row`` gives the output from the input, ``to_state`` what the input leaves in the state,
    ``from_state`` what the state adds to the output; ``ladders`` lead the state from row to row,
    each over :data:`GROUP` times as many rows as the one before.
    """

    row: NDArray[np.float32]
    to_state: NDArray[np.float32]
    from_state: NDArray[np.float32]
    ladders: tuple[_Ladder, ...]


class _Ladder(NamedTuple):
    """A state's way over :data:`GROUP` rungs, from what each of them leaves in it.

    ``within`` gives the states before every rung, ``onward`` the one after the last, ``spread``
    what a state before the first is before every rung.
    """

    within: NDArray[np.float32]
    onward: NDArray[np.float32]
    spread: NDArray[np.float32]


@lru_cache(maxsize=4)
def _block_filter(rate_hz: int, length: int) -> _BlockFilter:
    """Return the K-weighting at a rate as matrices over rows of ``length`` samples."""
    a, b, c, d = _state_space(k_weighting(rate_hz))
    observe = np.empty((length, STATES))
    control = np.empty((length, STATES))
    power = np.eye(STATES)
    for place in range(length):
        observe[place] = c @ power
        control[length - 1 - place] = power @ b
        power = a @ power
    impulse = np.concatenate(([d], observe[:-1] @ b))
    lag = np.arange(length)[None, :] - np.arange(length)[:, None]
    row = np.where(lag >= 0, impulse[np.maximum(lag, 0)], 0.0)
    # columns of zeros up to a multiple of 8: 32 take less time than 30
    extra = np.zeros((length, -length % 8))
    row, observe = np.hstack((row, extra)), np.hstack((observe.T, extra[:STATES]))
    ladders, carry = [], power.T
    for _ in range(LEVELS):
        ladder, carry = _ladder(carry)
        ladders.append(ladder)
    return _BlockFilter(
        row.astype(np.float32),
        control.astype(np.float32),
        observe.astype(np.float32),
        tuple(ladders),
    )


def _ladder(carry: NDArray[np.float64]) -> tuple[_Ladder, NDArray[np.float64]]:
    """Return the ladder of a state that ``carry`` leads over one rung, and its carry over all."""
    powers = np.empty((GROUP + 1, STATES, STATES))
    powers[0] = np.eye(STATES)
    for rung in range(GROUP):
        powers[rung + 1] = powers[rung] @ carry
    lag = np.arange(GROUP)[None, :] - np.arange(GROUP)[:, None] - 1
    within = np.where((lag >= 0)[:, :, None, None], powers[np.maximum(lag, 0)], 0.0)
    ladder = _Ladder(
        within.transpose(0, 2, 1, 3).reshape(GROUP * STATES, GROUP * STATES).astype(np.float32),
        powers[GROUP - 1 :: -1].reshape(GROUP * STATES, STATES).astype(np.float32),
        powers[:GROUP].transpose(1, 0, 2).reshape(STATES, GROUP * STATES).astype(np.float32),
    )
    return ladder, powers[-1]


def _state_space(
    sections: tuple[Biquad, Biquad],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], float]:
    """Return A, b, c, d of two sections in a row (transposed direct form II)."""
    one, two = sections
    a = np.zeros((4, 4))
    a[0] = [-one.a1, 1.0, 0.0, 0.0]
    a[1] = [-one.a2, 0.0, 0.0, 0.0]
    gain = np.array([two.b1 - two.a1 * two.b0, two.b2 - two.a2 * two.b0])
    a[2:, 0] = gain
    a[2] += [0.0, 0.0, -two.a1, 1.0]
    a[3] += [0.0, 0.0, -two.a2, 0.0]
    b = np.array([one.b1 - one.a1 * one.b0, one.b2 - one.a2 * one.b0, *(gain * one.b0)])
    return a, b, np.array([two.b0, 0.0, 1.0, 0.0]), one.b0 * two.b0


@lru_cache(maxsize=4)
def row_frames(step: int) -> int:
    """Return a row length that divides a step of 100 ms, or 32 where none does.

    >>> row_frames(4410), row_frames(4800)
    (30, 32)
    """
    return next((size for size in (32, 30, 29, 28, 25, 35, 36, 40) if step % size == 0), 32)


def k_weighted(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Return channels (channels, frames) through the K-weighting, from silence, in its rows.

    The rows have :attr:`_BlockFilter.row`'s columns; those after the row's length are zero.
    """
    channels, frames = samples.shape
    length = row_frames(step_frames(rate_hz))
    rows = -(-frames // length)
    if rows * length != frames:
        samples = np.pad(samples, ((0, 0), (0, rows * length - frames)))
    table = _block_filter(rate_hz, length)
    sound = samples.reshape(channels, rows, length)
    states = _states(_by_group(sound, table.to_state), table.ladders)
    out = sound @ table.row
    out += states.reshape(channels, -1, STATES)[:, :rows] @ table.from_state
    return out


def _by_group(rows: NDArray[np.float32], to_state: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return what rows (channels, rows, …) leave in the state, the rows of a group side by side."""
    channels, count, _ = rows.shape
    left = np.zeros((channels, -(-count // GROUP) * GROUP, STATES), np.float32)
    np.matmul(rows, to_state, out=left[:, :count])
    return left.reshape(channels, -1, GROUP * STATES)


def _states(by_group: NDArray[np.float32], ladders: tuple[_Ladder, ...]) -> NDArray[np.float32]:
    """Return the state before every row from what each row leaves in it, both by group.

    Groups of rows are rows of a higher level, up to the one that a single group covers.
    """
    channels, groups, _ = by_group.shape
    ladder, *higher = ladders
    states: NDArray[np.float32] = by_group @ ladder.within
    if groups > 1:
        starts = _states(_by_group(by_group, ladder.onward), tuple(higher))
        states += starts.reshape(channels, -1, STATES)[:, :groups] @ ladder.spread
    return states
