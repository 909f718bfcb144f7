"""Brushes, cymbals, drums and clicks as rows of data. A new sound is a new row.

Every sound is a cloud of decaying modes plus shaped bursts of noise. Frequencies and decays
are from memory of measured drums and cymbals (Fletcher & Rossing, *The Physics of Musical
Instruments*, chapters 18 and 20, for the spread of a cymbal's modes and a membrane's ratios).
Cymbals, hats and side stick were then fitted by random search to the centroid and the level over
time of a sampled kit (``tests/bench/kit_fit.py``); nobody has listened to them while tuning.
"""

from __future__ import annotations

from typing import NamedTuple

LAYERS = 3
"""Loudness layers of a struck sound."""


class Cloud(NamedTuple):
    """So many ``modes``, strewn from ``low_hz`` to ``high_hz``, evenly in the logarithm.

    A mode decays in ``low_decay_s`` at the low end and ``high_decay_s`` at the high one (time
    to 1/e), and is louder by ``tilt_db`` for every octave up.
    """

    modes: int
    low_hz: float
    high_hz: float
    low_decay_s: float
    high_decay_s: float
    gain: float
    tilt_db: float = 0.0


class Burst(NamedTuple):
    """Noise between two frequencies that rises in ``attack_s`` and falls in ``decay_s``."""

    low_hz: float
    high_hz: float
    attack_s: float
    decay_s: float
    gain: float


class Tone(NamedTuple):
    """One mode by itself: frequency, time to fall to 1/e, and gain."""

    hz: float
    decay_s: float
    gain: float


class Struck(NamedTuple):
    """One sound of the kit.

    ``level_db`` is its energy in the kit (0 dB: as much as 250 ms at an RMS of 1; of a sweep the
    RMS), ``seconds`` the longest it lasts, ``pan`` its place from -1 (left) to 1, ``variants`` how
    many differing takes follow one another. ``sweep`` sounds (a brush drawn over the skin) last as
    long as the note and swell and fade with it. ``hard_db`` is by how many dB an octave the
    loudest stroke tilts its tones and clouds upward against the softest, and by how many dB it
    strengthens its bursts.
    """

    name: str
    level_db: float
    seconds: float
    pan: float
    tones: tuple[Tone, ...] = ()
    clouds: tuple[Cloud, ...] = ()
    bursts: tuple[Burst, ...] = ()
    variants: int = 2
    sweep: bool = False
    hard_db: float = 3.0


_ROWS = (
    Struck(
        "ride", 0.0, 2.2, 0.22,
        tones=(Tone(412.0, 0.63, 0.107), Tone(3150.0, 0.121, 0.51)),
        clouds=(
            Cloud(60, 251.0, 3230.0, 1.25, 0.912, 0.176, 0.0),
            Cloud(160, 2500.0, 18600.0, 0.687, 0.15, 0.776, 0.6),
        ),
        bursts=(Burst(12900.0, 16800.0, 0.0004, 0.0226, 2.49),),
        variants=4,
    ),
    Struck(
        "ride_bell", 0.0, 2.2, 0.22,
        tones=(
            Tone(790.0, 0.38, 0.648), Tone(1580.0, 0.423, 0.512), Tone(2490.0, 0.397, 0.554),
            Tone(3810.0, 0.286, 1.57),
        ),
        clouds=(Cloud(90, 2500.0, 12700.0, 0.344, 0.0585, 0.932, 0.5),),
        bursts=(Burst(3760.0, 20000.0, 0.0006, 0.0203, 0.708),),
    ),
    Struck(
        "hat_pedal", -5.0, 0.3, -0.25,
        clouds=(Cloud(90, 2250.0, 7600.0, 0.0771, 0.0136, 0.552, 1.9),),
        bursts=(
            Burst(12900.0, 16900.0, 0.0007, 0.0397, 1.16),
            Burst(531.0, 1250.0, 0.0005, 0.0101, 2.99),
        ),
        variants=4,
    ),
    Struck(
        "hat_closed", -4.0, 0.3, -0.25,
        clouds=(Cloud(90, 3360.0, 12300.0, 0.0792, 0.0494, 0.282, 2.6),),
        bursts=(Burst(10400.0, 15200.0, 0.0003, 0.0409, 1.3),),
        variants=4,
    ),
    Struck(
        "hat_open", -1.0, 1.4, -0.25,
        clouds=(Cloud(140, 4040.0, 12300.0, 1.27, 0.13, 0.575, 1.1),),
        bursts=(Burst(2350.0, 18800.0, 0.0004, 0.0167, 2.39),),
    ),
    Struck(
        "brush_tap", -3.0, 0.3, -0.05,
        tones=(Tone(205.0, 0.045, 0.9), Tone(327.0, 0.03, 0.5), Tone(438.0, 0.022, 0.2)),
        bursts=(
            Burst(700.0, 4800.0, 0.0012, 0.02, 1.0),
            Burst(2000.0, 7500.0, 0.004, 0.04, 0.25),
        ),
        variants=3,
    ),
    Struck(
        "brush_slap", 0.0, 0.4, -0.05,
        tones=(Tone(198.0, 0.07, 0.9), Tone(316.0, 0.045, 0.5), Tone(424.0, 0.03, 0.3)),
        bursts=(
            Burst(600.0, 5200.0, 0.0008, 0.028, 1.4),
            Burst(2000.0, 8000.0, 0.004, 0.06, 0.4),
        ),
        variants=3,
    ),
    Struck(
        "brush_sweep", -14.0, 2.0, -0.05,
        bursts=(Burst(700.0, 5200.0, 0.02, 0.4, 1.0),),
        sweep=True, hard_db=1.5,
    ),
    Struck(
        "kick", 0.0, 0.5, 0.0,
        # a small drum of a swing band, tuned high and struck with felt (common practice, no source)
        tones=(
            Tone(72.0, 0.11, 1.3), Tone(115.0, 0.06, 0.8), Tone(153.0, 0.045, 0.5),
            Tone(209.0, 0.03, 0.3),
        ),
        bursts=(Burst(200.0, 2500.0, 0.001, 0.01, 0.7),),
        variants=4,
    ),
    Struck(
        "snare", 0.0, 0.4, -0.05,
        tones=(Tone(188.0, 0.08, 0.9), Tone(302.0, 0.06, 0.5), Tone(408.0, 0.045, 0.3)),
        bursts=(
            Burst(1200.0, 9000.0, 0.0006, 0.02, 1.0), Burst(2200.0, 9500.0, 0.002, 0.09, 0.8),
        ),
    ),
    Struck(
        "side_stick", -3.0, 0.3, -0.05,
        tones=(
            Tone(430.0, 0.0058, 0.0995), Tone(815.0, 0.0166, 0.512), Tone(1690.0, 0.0138, 0.319),
            Tone(2570.0, 0.0124, 0.534), Tone(4100.0, 0.0067, 0.727),
        ),
        clouds=(Cloud(40, 2030.0, 19500.0, 0.177, 0.0244, 0.121, 0.2),),
        bursts=(Burst(745.0, 3210.0, 0.0004, 0.0081, 0.421),),
        variants=4,
    ),
    Struck(
        "sticks", -3.0, 0.14, 0.05,
        tones=(
            Tone(1180.0, 0.016, 0.6), Tone(2240.0, 0.014, 1.0), Tone(3360.0, 0.01, 0.5),
        ),
        bursts=(Burst(1800.0, 8000.0, 0.0003, 0.004, 0.8),),
        variants=4,
    ),
    Struck(
        "click_high", -2.0, 0.12, 0.0,
        tones=(Tone(1320.0, 0.02, 1.0), Tone(2640.0, 0.012, 0.5), Tone(3980.0, 0.007, 0.25)),
        bursts=(Burst(2000.0, 8000.0, 0.0003, 0.003, 0.5),),
        variants=1,
    ),
    Struck(
        "click_low", -3.0, 0.12, 0.0,
        tones=(Tone(880.0, 0.022, 1.0), Tone(1760.0, 0.013, 0.5), Tone(2660.0, 0.008, 0.25)),
        bursts=(Burst(1500.0, 7000.0, 0.0003, 0.003, 0.5),),
        variants=1,
    ),
)  # fmt: skip

STRUCK = {row.name: row for row in _ROWS}
"""Every struck sound by the name of its piece."""

GM_PIECES = {
    35: "kick", 36: "kick", 37: "side_stick", 38: "brush_tap", 39: "brush_slap",
    40: "brush_sweep", 42: "hat_closed", 44: "hat_pedal", 46: "hat_open", 51: "ride",
    53: "ride_bell", 76: "click_high", 77: "click_low",
}  # fmt: skip
"""The piece a General MIDI percussion key stands for where a note names none."""
