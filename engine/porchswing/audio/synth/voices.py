"""Plucked instruments as rows of data: strings, hand and body. A new one is a new row.

Where the numbers come from:

- string stiffness ``B = pi^3 E d^4 / (64 T L^2)`` (Fletcher, JASA 36, 1964) with nylon and
  fluorocarbon diameters, tensions and elasticity of catalogues: common practice, no source;
- losses: nylon strings' loss factor rises with frequency to about 1e-3, where what was measured
  ends (J. Woodhouse, *Euphonics*, section 7.2.2), from 4e-4 or so in the middle (from memory: his
  "Plucked guitar transients", Acta Acustica 90, 2004); the rise is the string's bending;
- the hand: players pick 6 to 10 cm from the bridge (M. Zollner, *Physics of the Electric Guitar*,
  section 1.5.1, of guitars): a ukulele's hand between hole and bridge, farther on larger sizes;
  a double bass is plucked at the end of its fingerboard (common practice, no source);
- ukulele bodies: published sizes and rules, in :mod:`~porchswing.audio.synth.bodies`. A double
  bass's air and top at about 60 and 100 Hz: from memory (A. Askenfelt, STL-QPSR 4, 1982). The hand
  and its noises were tuned against octave bands of a sampled nylon guitar
  (``tests/bench/sound_report.py``), within 3 dB at 125 Hz, 2 kHz and 8 kHz. A concert's notes fall
  as far in 0.3 s as the guitar's of the same pitches; the other sizes' decays go with it.
"""

from __future__ import annotations

from typing import NamedTuple

from porchswing.audio.synth.bodies import BodyMode, ukulele_body

LAYERS = 3
"""Loudness layers of a plucked voice, each of its own brightness; strokes are mixed of two."""


class PluckTake(NamedTuple):
    """How one pluck differs from the next; our choice, within what a player's finger strays.

    ``farther_m`` is how much farther from the bridge the finger falls: a centimetre is much on a
    ukulele and little on a double bass. ``cutoff`` multiplies the hand's brightness and
    ``slow_share`` what the string's second plane gets; ``level_db`` is how much stronger it is;
    ``contact`` is where on the string the hand of a chuck lies, as a share of its length.
    """

    farther_m: float
    cutoff: float
    slow_share: float
    level_db: float
    contact: float


TAKES = (
    PluckTake(0.0, 1.0, 1.0, 0.0, 0.21),
    PluckTake(-0.011, 1.09, 1.5, -0.4, 0.27),
    PluckTake(0.009, 0.93, 0.6, 0.3, 0.18),
    PluckTake(-0.005, 1.04, 1.2, 0.1, 0.24),
)


class String(NamedTuple):
    """One string as built: stiffness ``b`` of the open string, loss against its neighbours.

    ``damping`` multiplies every decay rate, ``brightness`` shifts the hand's cut-off.
    """

    b: float
    damping: float = 1.0
    brightness: float = 1.0


class Noise(NamedTuple):
    """A burst at the attack: level in dB against the partials, band in Hz, decay to 1/e."""

    level_db: float
    low_hz: float
    high_hz: float
    decay_s: float


class PluckedVoice(NamedTuple):
    """A plucked instrument. Lengths in metres, times in seconds, rates in nepers a second.

    ``strings`` and their usual ``open_midi`` notes run from the highest-numbered to string 1.
    ``pluck_m`` is the distance of the
    hand from the bridge and ``node_floor`` how much the finger's width leaves of a partial
    plucked at its node. ``soft_hz`` and ``hard_hz`` are the hand's cut-off for the softest and
    the loudest stroke. A partial at ``f`` decays by ``base_decay + pi f loss_factor +
    square_decay (f/1000)^2``, and faster where the body takes its energy (``body_decay``);
    ``slow_share`` of it decays ``slow_ratio`` times as fast (the string's other plane), its
    partials apart by the share ``split``.
    ``radiation_hz`` is the corner under which the body radiates little, ``rolloff_hz`` the one
    above which it falls by ``rolloff_order`` times 6 dB an octave. ``noises`` are
    the finger on the string and the hand on the wood, ``knock_db`` the body's own resonances
    struck by the attack.
    """

    name: str
    open_midi: tuple[int, ...]
    scale_m: float
    strings: tuple[String, ...]
    pluck_m: float
    node_floor: float
    soft_hz: float
    hard_hz: float
    base_decay: float
    loss_factor: float
    square_decay: float
    body_decay: float
    slow_share: float
    slow_ratio: float
    radiation_hz: float
    radiation_order: float
    rolloff_hz: float
    rolloff_order: float
    body: tuple[BodyMode, ...]
    top_hz: float
    attack_s: float
    noises: tuple[Noise, ...]
    knock_db: float
    damp_s: float
    split: float = 2.5e-4


_NYLON = (
    String(1.0e-4, 1.0, 1.0),
    String(1.6e-4, 0.95, 0.94),
    String(1.3e-4, 1.0, 1.0),
    String(0.9e-4, 1.05, 1.05),
)

CONCERT = PluckedVoice(
    name="concert",
    open_midi=(67, 60, 64, 69),
    scale_m=0.381,
    strings=_NYLON,
    pluck_m=0.070,
    node_floor=0.12,
    soft_hz=700.0,
    hard_hz=19000.0,
    base_decay=1.3,
    loss_factor=0.5e-3,
    square_decay=0.15,
    body_decay=0.95,
    slow_share=0.07,
    slow_ratio=0.42,
    radiation_hz=1700.0,
    radiation_order=1.0,
    rolloff_hz=7000.0,
    rolloff_order=2.0,
    body=ukulele_body("concert"),
    top_hz=12000.0,
    attack_s=0.0009,
    noises=(
        Noise(-9.0, 2000.0, 13000.0, 0.004),
        Noise(-12.0, 90.0, 170.0, 0.009),
    ),
    knock_db=-26.0,
    damp_s=0.014,
)
SOPRANO = CONCERT._replace(
    name="soprano",
    scale_m=0.346,
    pluck_m=0.063,
    strings=tuple(string._replace(b=string.b * 1.25) for string in _NYLON),
    base_decay=1.6,
    body=ukulele_body("soprano"),
    radiation_hz=1850.0,
)
TENOR = CONCERT._replace(
    name="tenor",
    scale_m=0.432,
    pluck_m=0.078,
    strings=tuple(string._replace(b=string.b * 0.8) for string in _NYLON),
    base_decay=1.15,
    body=ukulele_body("tenor"),
    radiation_hz=1550.0,
)
BARITONE = CONCERT._replace(
    name="baritone",
    open_midi=(50, 55, 59, 64),
    scale_m=0.510,
    pluck_m=0.092,
    strings=(
        String(0.7e-4, 1.05, 0.92),
        String(0.9e-4, 1.0, 0.95),
        String(1.1e-4, 1.0, 1.0),
        String(0.8e-4, 1.05, 1.05),
    ),
    base_decay=1.1,
    body=ukulele_body("baritone"),
    radiation_hz=1250.0,
)
GUITAR = CONCERT._replace(
    name="guitar",
    open_midi=(40, 45, 50, 55, 59, 64),
    scale_m=0.650,
    pluck_m=0.190,
    strings=(
        String(0.4e-4, 1.1, 0.85),
        String(0.4e-4, 1.05, 0.88),
        String(0.5e-4, 1.0, 0.92),
        String(1.2e-4, 1.0, 0.95),
        String(0.8e-4, 1.0, 1.0),
        String(0.6e-4, 1.0, 1.05),
    ),
    # felt-damped: a soft hand and a strip of felt at the bridge
    soft_hz=1300.0,
    hard_hz=3600.0,
    base_decay=2.6,
    loss_factor=1.6e-3,
    body_decay=0.8,
    body=(
        BodyMode(102.0, 11.0, 1.3),
        BodyMode(205.0, 14.0, 1.5),
        BodyMode(390.0, 12.0, 0.9),
        BodyMode(620.0, 10.0, 0.9),
        BodyMode(1050.0, 8.0, 0.8),
        BodyMode(1900.0, 6.0, 0.7),
        BodyMode(3000.0, 5.0, 0.5),
    ),
    radiation_hz=800.0,
    noises=(
        Noise(-20.0, 700.0, 6500.0, 0.004),
        Noise(-14.0, 80.0, 220.0, 0.025),
    ),
)
BASS = CONCERT._replace(
    name="bass",
    open_midi=(28, 33, 38, 43),
    scale_m=1.06,
    strings=(String(0.5e-4), String(0.4e-4), String(0.35e-4), String(0.3e-4)),
    pluck_m=0.4,
    node_floor=0.15,
    soft_hz=160.0,
    hard_hz=1300.0,
    base_decay=0.75,
    loss_factor=2.6e-3,
    square_decay=6.0,
    body_decay=0.4,
    slow_share=0.3,
    slow_ratio=0.5,
    radiation_hz=40.0,
    radiation_order=1.0,
    rolloff_hz=1300.0,
    rolloff_order=2.0,
    # the air carries the lowest notes' first partial: without it they are heard an octave up
    body=(
        BodyMode(62.0, 5.0, 1.8),
        BodyMode(101.0, 9.0, 0.8),
        BodyMode(165.0, 8.0, 0.7),
        BodyMode(320.0, 6.0, 0.8),
        BodyMode(700.0, 5.0, 0.6),
    ),
    top_hz=3200.0,
    attack_s=0.028,
    noises=(Noise(-28.0, 250.0, 2000.0, 0.012), Noise(-43.0, 1800.0, 9000.0, 0.008)),
    knock_db=-17.0,
    damp_s=0.045,
)

BANJO = CONCERT._replace(
    name="tenor banjo",
    open_midi=(48, 55, 62, 69),
    scale_m=0.580,
    # steel: thin, so hardly stiff, and with little loss of its own; the head takes it all
    strings=(String(0.9e-4, 1.0, 0.9), String(0.6e-4), String(0.4e-4), String(0.3e-4, 1.0, 1.1)),
    pluck_m=0.110,
    node_floor=0.1,
    soft_hz=3200.0,
    hard_hz=9000.0,
    base_decay=3.2,
    loss_factor=0.6e-3,
    body_decay=2.6,
    slow_share=0.1,
    radiation_hz=900.0,
    body=(
        BodyMode(240.0, 4.0, 1.0),
        BodyMode(330.0, 6.0, 1.5),
        BodyMode(560.0, 6.0, 1.2),
        BodyMode(820.0, 5.0, 1.6),
        BodyMode(1500.0, 4.0, 1.4),
        BodyMode(2900.0, 3.0, 1.5),
    ),
    noises=(Noise(-16.0, 1500.0, 9000.0, 0.003), Noise(-14.0, 200.0, 500.0, 0.012)),
)
MANDOLIN = CONCERT._replace(
    name="mandolin",
    open_midi=(55, 62, 69, 76),
    scale_m=0.350,
    strings=(String(2.2e-4, 1.0, 0.92), String(1.2e-4), String(0.7e-4), String(0.5e-4, 1.0, 1.1)),
    pluck_m=0.090,
    node_floor=0.1,
    soft_hz=3000.0,
    hard_hz=9500.0,
    base_decay=1.8,
    loss_factor=0.6e-3,
    body_decay=0.8,
    radiation_hz=1000.0,
    body=(
        BodyMode(200.0, 8.0, 1.0),
        BodyMode(390.0, 12.0, 1.4),
        BodyMode(680.0, 10.0, 1.0),
        BodyMode(1150.0, 6.0, 1.6),
        BodyMode(2300.0, 5.0, 1.4),
        BodyMode(4200.0, 4.0, 1.3),
    ),
    noises=(Noise(-17.0, 1800.0, 10000.0, 0.0025), Noise(-18.0, 180.0, 400.0, 0.012)),
)

_ROWS = (SOPRANO, CONCERT, TENOR, BARITONE, GUITAR, BANJO, MANDOLIN, BASS)
PLUCKED = (
    {voice.name: voice for voice in _ROWS}
    | {f"{voice.name} ukulele": voice for voice in (SOPRANO, CONCERT, TENOR, BARITONE)}
    | {"ukulele": CONCERT, "melody": TENOR}
)
"""Every plucked voice by the name of its instrument."""
