"""One plucked note: from string, hand and body to partials, noise and knock.

Bridge force of a string plucked at the fraction ``Q`` of its length: partial ``n`` as
``sin(n pi Q) / n`` (Fletcher & Rossing, *The Physics of Musical Instruments*, 2nd ed.,
section 2.12; the finger's width keeps a little of the partials plucked at a node). Stiff
string: ``f_n = n f_0 sqrt(1 + B n^2) / sqrt(1 + B)`` (the same, section 2.18), divided so that
the first partial is in tune. A string stopped at fret ``r`` is shorter by ``2^(r/12)``, so its
``B`` grows by the square of that.

No two plucks of a real string are alike, so every note has several takes
(:data:`~porchswing.audio.synth.voices.TAKES`): the finger falls a little nearer the bridge or
farther from it, at another angle (which shares the energy out between the string's two planes of
vibration) and with other noise. The two planes decay and sound slightly apart, so that a note's
decay beats (Woodhouse, "A necessary condition for double decay envelopes in stringed
instruments", JASA 150, 2021, for where that is heard). All takes and loudness layers of a note
share their partials and one matrix product.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.synth.noise import band_noise, uniform
from porchswing.audio.synth.partials import decaying_sines
from porchswing.audio.synth.voices import LAYERS, TAKES
from porchswing.units import db_to_gain, midi_to_hz

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.audio.synth.voices import PluckedVoice

FARTHEST_PLUCK = 0.4
"""The hand follows the fretting hand: it never plucks nearer the middle of what sounds."""

CHUCK_DECAY_PER_S = 52.0
"""How fast a hand that stays on the string damps a partial with its belly under the hand."""

CHUCK_LEAST = 0.55
"""Share of that damping left to a partial with its node under the hand: a hand is wide."""

CHUCK_KNOCK = 1.8
"""How much harder the hand of a chuck strikes the body than a pluck does."""

MUTE_DECAY_PER_S = 150.0
LONGEST_SCRATCH_S = 0.012
DC_SPAN_S, DC_PERIODS = 0.02, 4.0

LEVEL_SPAN_S = 0.25
"""Notes of one voice are levelled by their energy over this span."""


class Partials(NamedTuple):
    """The partials of one stopped string, however it is then touched, bent or cut short.

    ``amplitude`` has every take and loudness layer, shape (takes, layers, K).
    """

    hz: NDArray[np.float64]
    amplitude: NDArray[np.float64]
    decay_per_s: NDArray[np.float64]


def partial_hz(pitch: float, b: float, top_hz: float) -> NDArray[np.float64]:
    """Return the partial frequencies in Hz of a stiff string up to ``top_hz``.

    >>> partial_hz(69, 1e-4, 1000.0).round(2).tolist()
    [440.0, 880.13]
    """
    first = midi_to_hz(pitch)
    n = np.arange(1.0, max(2.0, top_hz / first) + 1.0)
    hz = n * first * np.sqrt((1.0 + b * n * n) / (1.0 + b))
    return hz[hz <= max(top_hz, first)]


def body(
    voice: PluckedVoice, hz: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how strongly the body radiates a force, and how fast it takes energy, by frequency.

    The second is in nepers a second: where a resonance radiates, the string loses.
    """
    mode_hz, q, gain = _modes(voice)
    detune = q[:, None] * (hz / mode_hz[:, None] - mode_hz[:, None] / hz)
    resonance = 1.0 / (1.0 + detune * detune)
    low = (1.0 + (voice.radiation_hz / hz) ** 2) ** (-0.5 * voice.radiation_order)
    high = (1.0 + (hz / voice.rolloff_hz) ** 2) ** (-0.5 * voice.rolloff_order)
    radiated = np.sqrt(1.0 + gain * gain @ resonance) * low * high
    return radiated, voice.body_decay * (gain @ resonance)


@lru_cache(maxsize=8)
def _modes(
    voice: PluckedVoice,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return the body's resonances as arrays: Hz, quality, gain."""
    hz, q, gain = np.array(voice.body).T
    return hz, q, gain


@lru_cache(maxsize=256)
def string_partials(voice: PluckedVoice, pitch: int, string: int, fret: int) -> Partials:
    """Return the partials of a string stopped at a fret (string 1 is the voice's last)."""
    row = voice.strings[-min(string, len(voice.strings))]
    hz = partial_hz(pitch, row.b * 2.0 ** (fret / 6.0), voice.top_hz)
    radiated, drain = body(voice, hz)
    decay = (
        voice.base_decay + np.pi * voice.loss_factor * hz + voice.square_decay * (hz / 1000.0) ** 2
    ) * row.damping + drain
    farther_m, brighter = np.array([[take.farther_m, take.cutoff] for take in TAKES]).T
    n = np.arange(1, hz.size + 1)
    length_m = voice.scale_m * 2.0 ** (-fret / 12.0)
    place = np.minimum((voice.pluck_m + farther_m) / length_m, FARTHEST_PLUCK)
    sine = np.sin(np.pi * place[:, None] * n)
    force = np.copysign(np.sqrt(sine**2 + voice.node_floor**2), sine) / n
    loudness = (np.arange(LAYERS) + 0.5) / LAYERS
    cutoff_hz = voice.soft_hz * (voice.hard_hz / voice.soft_hz) ** loudness * row.brightness
    # the finger's time on the string cuts at a frequency, its width at a partial: halfway
    cutoff_hz *= (hz[0] / midi_to_hz(pitch - fret)) ** 0.5
    hand = np.exp(-((hz / np.outer(brighter, cutoff_hz)[..., None]) ** 1.2))
    return Partials(hz, (force * radiated)[:, None] * hand, decay)


@lru_cache(maxsize=256)
def _phases(count: int, seed: int) -> NDArray[np.complex128]:
    """Return unit phases strewn half a turn around a sine's, by take: the body delays partials.

    All in phase a note's peak is 1.4 dB (a bass note's 3 dB) higher, and with it the level
    at which the whole mix meets its ceiling. Takes differ more the higher the partial.
    """
    turns = np.tile(3.2 * (uniform(seed, count) - 0.5), (len(TAKES), 1))
    most = np.minimum(2.0, 0.3 * np.arange(count))
    for take, turn in enumerate(turns):
        if take:
            turn += (uniform(7 * seed + take, count) - 0.5) * most
    phases: NDArray[np.complex128] = np.exp(1j * (turns - 0.5 * np.pi))
    return phases


def plucked(
    voice: PluckedVoice,
    pitch: int,
    string: int,
    fret: int,
    touch: str,
    layers: tuple[int, ...],
    frames: int,
    rate_hz: int,
    takes: tuple[int, ...] = (),
) -> NDArray[np.float32]:
    """Return one note at the loudness layers asked for, shape (len(layers), frames).

    ``takes`` are the takes that go with the layers (all the first where there are none).
    ``touch`` is ``pluck``, ``slur`` (no pluck: soft and without noise), ``chuck`` (damped at
    once) or ``mute`` (a pitchless scratch).
    """
    takes = takes or (0,) * len(layers)
    hz, amplitude, decay = string_partials(voice, pitch, string, fret)
    count = int(np.searchsorted(hz, 0.45 * rate_hz))
    hz, decay = hz[:count], decay[:count]
    amplitude = amplitude[list(takes), list(layers), :count]
    gain = [db_to_gain(TAKES[take].level_db) for take in takes]
    amplitude = amplitude * (np.array(gain) / _levels(amplitude, decay))[:, None]
    if touch == "slur":
        amplitude = amplitude * np.exp(-hz / 1500.0)
    if touch == "chuck":
        decay = decay + _contact(hz.size, TAKES[takes[0]].contact)
    elif touch == "mute":
        decay, amplitude = decay + MUTE_DECAY_PER_S, amplitude * 0.35
    sound = _sum(voice, hz, amplitude, decay, touch, pitch, string, takes, frames, rate_hz)
    if touch != "slur":
        loudness = (np.asarray(layers, np.float64) + 0.5) / LAYERS
        _add_noise(sound, voice, loudness, touch, string, takes, rate_hz)
    _remove_dc(sound, max(DC_SPAN_S, DC_PERIODS / hz[0]), rate_hz)
    return sound


def _contact(count: int, place: float) -> NDArray[np.float64]:
    """Return how fast a hand lying on the string damps each partial, in nepers a second.

    A partial moves under the hand as ``sin(n pi place)``: what has its node there is damped least,
    which leaves a chuck its short, hollow pitch.
    """
    moves = np.sin(np.pi * place * np.arange(1, count + 1)) ** 2
    damping: NDArray[np.float64] = CHUCK_DECAY_PER_S * (CHUCK_LEAST + moves)
    return damping


def _levels(amplitude: NDArray[np.float64], decay: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the root mean square over the first moments, by layer."""
    energy = -np.expm1(-2.0 * decay * LEVEL_SPAN_S) / (2.0 * decay * LEVEL_SPAN_S)
    level: NDArray[np.float64] = np.sqrt(0.5 * (amplitude**2 * energy).sum(axis=1))
    return level


def _sum(
    voice: PluckedVoice,
    hz: NDArray[np.float64],
    amplitude: NDArray[np.float64],
    decay: NDArray[np.float64],
    touch: str,
    pitch: int,
    string: int,
    takes: tuple[int, ...],
    frames: int,
    rate_hz: int,
) -> NDArray[np.float32]:
    """Return partials of two decays, and the body's knock, with the attack's onset shaped."""
    seed = 1009 * pitch + string
    phased = amplitude * _phases(hz.size, seed)[list(takes)]
    is_damped = touch in ("chuck", "mute")
    wanted = [0.0 if is_damped else voice.slow_share * TAKES[take].slow_share for take in takes]
    share = np.minimum(0.6, wanted)[:, None]
    parts = [phased * (1.0 - share)]
    all_hz, all_decay = [hz], [decay]
    if not is_damped:
        slow = hz < 2500.0
        parts.append(phased[:, slow] * share)
        # the other plane's partials lie a little off; the first keeps the pitch exact
        apart = voice.split * np.sign(uniform(seed + 5, hz.size) - 0.5)
        apart[0] = 0.0
        all_hz.append((hz * (1.0 + apart))[slow])
        all_decay.append(decay[slow] * voice.slow_ratio)
    if touch != "slur":
        mode_hz, q, gain = _modes(voice)
        knock = gain * db_to_gain(voice.knock_db) * (CHUCK_KNOCK if touch == "chuck" else 1.0)
        parts.append(np.broadcast_to(knock * -1j, (amplitude.shape[0], knock.size)))
        all_hz.append(mode_hz)
        all_decay.append(np.pi * mode_hz / q)
    sound = decaying_sines(
        np.concatenate(parts, axis=1),
        np.concatenate(all_hz),
        np.concatenate(all_decay),
        frames,
        rate_hz,
    )
    attack_s = voice.attack_s * (5.0 if touch == "slur" else 1.0)
    ramp = min(frames, max(2, round(attack_s * rate_hz)))
    sound[:, :ramp] *= (0.5 - 0.5 * np.cos(np.pi * (np.arange(ramp) + 0.5) / ramp)).astype("f4")
    return sound


def _add_noise(
    sound: NDArray[np.float32],
    voice: PluckedVoice,
    loudness: NDArray[np.float64],
    touch: str,
    string: int,
    takes: tuple[int, ...],
    rate_hz: int,
) -> None:
    """Add the hand's noises at the attack; a scratch is longer and louder."""
    stretch, gain = {"chuck": (3.0, 1.6), "mute": (5.0, 1.8)}.get(touch, (1.0, 1.0))
    gains = (gain * (0.1 + 1.8 * loudness)).astype(np.float32)
    for row, (take, loud) in enumerate(zip(takes, gains, strict=True)):
        burst = _hand(voice, string + 16 * take, stretch, rate_hz)[: sound.shape[1]]
        sound[row, : burst.size] += loud * burst


@lru_cache(maxsize=256)
def _hand(voice: PluckedVoice, seed: int, stretch: float, rate_hz: int) -> NDArray[np.float32]:
    """Return the noise of the hand at a stroke, one for every string and take."""
    longest_s = max(noise.decay_s for noise in voice.noises)
    frames = int(8.0 * max(longest_s, LONGEST_SCRATCH_S) * rate_hz)
    time = np.arange(frames, dtype=np.float32) * np.float32(1.0 / rate_hz)
    total = np.zeros(frames, np.float32)
    for place, noise in enumerate(voice.noises):
        # a scratch draws the finger's noise out, not the thump of the hand
        decay_s = max(noise.decay_s, min(noise.decay_s * stretch, LONGEST_SCRATCH_S))
        fall = np.exp(-time / np.float32(decay_s))
        burst = band_noise(16 * seed + place, frames, noise.low_hz, noise.high_hz, rate_hz)
        total += np.float32(3.0 * db_to_gain(noise.level_db)) * burst * fall
    total *= np.minimum(np.float32(1.0), time / np.float32(0.0004))
    return total


def _remove_dc(sound: NDArray[np.float32], span_s: float, rate_hz: int) -> None:
    """Take the mean out of every note by a slow, inaudible bump at its start.

    The mean is that of the note faded out at its end: wherever it is damped, what it leaves is
    then small.
    """
    span = min(sound.shape[1] // 2, round(span_s * rate_hz))
    bump, rest = _bump(span), sound.shape[1] - span
    fade = np.linspace(1.0, 0.0, span, dtype=np.float32)
    total = sound[:, :rest].sum(axis=1) + sound[:, rest:] @ fade
    sound[:, :span] -= total[:, None] * bump


@lru_cache(maxsize=8)
def _bump(frames: int) -> NDArray[np.float32]:
    """Return half a wave up and down whose samples add up to 1."""
    bump = np.hanning(frames + 2)[1:-1]
    scaled: NDArray[np.float32] = (bump / bump.sum()).astype(np.float32)
    return scaled
