"""Tuning, partials and time of the notes, measured in the samples."""

from __future__ import annotations

import numpy as np
import pytest

from porchswing.audio.mix.mixdown import Renderer, render_blocks
from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.strikes import schedule_of
from porchswing.audio.synth import pluck
from porchswing.audio.synth.partials import decaying_sines
from porchswing.audio.synth.voices import BASS, CONCERT, GUITAR, PLUCKED
from porchswing.performance.model import Bend
from porchswing.units import midi_to_hz
from support.hand_performances import GCEA, note, performance

RATE_HZ = 44100


def measured_hz(sound, near_hz, start_s=0.12, seconds=0.5):
    """Return the frequency of the partial near ``near_hz`` by the turn of its phase.

    Two Hann-windowed stretches half the time apart: their phase difference over their distance.
    """
    span = round(seconds * RATE_HZ)
    step = span // 4
    window = np.hanning(span)
    time = np.arange(span) / RATE_HZ
    first = round(start_s * RATE_HZ)
    turns = []
    for start in (first, first + step):
        clock = np.exp(-2j * np.pi * near_hz * (time + start / RATE_HZ))
        turns.append(np.sum(window * sound[start : start + span] * clock))
    return near_hz + np.angle(turns[1] / turns[0]) / (2 * np.pi * step / RATE_HZ)


def cents(one_hz, other_hz):
    return 1200 * np.log2(one_hz / other_hz)


def one_note(voice, pitch, string, fret, layer=2, seconds=1.0):
    frames = round(seconds * RATE_HZ)
    return pluck.plucked(voice, pitch, string, fret, "pluck", (layer,), frames, RATE_HZ)[0]


@pytest.mark.parametrize("string", [1, 2, 3, 4])
@pytest.mark.parametrize("fret", [0, 1, 5, 10, 12])
def test_every_ukulele_note_is_in_equal_temperament(string, fret):
    """Equal temperament, A4 = 440 Hz (ISO 16:1975): the first partial within 0.05 cent."""
    pitch = GCEA[-string] + fret
    truth_hz = midi_to_hz(pitch)
    found_hz = measured_hz(one_note(CONCERT, pitch, string, fret), truth_hz)
    assert abs(cents(found_hz, truth_hz)) < 0.05


@pytest.mark.parametrize("pitch", range(28, 56, 3))
def test_every_bass_note_is_in_equal_temperament(pitch):
    string, fret = min(
        (pitch - low, 4 - i) for i, low in enumerate((28, 33, 38, 43)) if low <= pitch
    )[::-1]
    truth_hz = midi_to_hz(pitch)
    sound = one_note(BASS, pitch, string, fret, seconds=1.5)
    assert abs(cents(measured_hz(sound, truth_hz, seconds=0.8), truth_hz)) < 0.05


def test_strongest_partial_of_a_rendered_note_is_in_tune():
    """The strongest partial of a mixed note within 2 cents of a multiple of 440 2^((m-69)/12)."""
    take = performance(2.0, chords=[note(0.0, 1.6, 64, string=2, fret=0)])
    sound = np.concatenate(list(render_blocks(take)))[:, 0]
    spectrum = np.abs(np.fft.rfft(sound[4410 : 4410 + 32768] * np.hanning(32768)))
    peak_hz = spectrum.argmax() * RATE_HZ / 32768
    found_hz = measured_hz(sound, peak_hz)
    number = round(found_hz / midi_to_hz(64))
    assert abs(cents(found_hz / number, midi_to_hz(64))) < 2.0


@pytest.mark.parametrize(
    ("voice", "pitch", "string", "fret"),
    [(CONCERT, 60, 3, 0), (CONCERT, 74, 4, 7), (GUITAR, 45, 5, 0), (BASS, 33, 3, 0)],
)
def test_partials_follow_the_stiff_string(voice, pitch, string, fret):
    """Fletcher & Rossing, The Physics of Musical Instruments: f_n = n f_0 sqrt(1 + B n^2)."""
    b = voice.strings[-string].b * 2.0 ** (fret / 6.0)
    sound = one_note(voice, pitch, string, fret, layer=2)
    first = midi_to_hz(pitch)
    for n in (2, 3, 4, 6):
        truth_hz = n * first * np.sqrt((1 + b * n * n) / (1 + b))
        found_hz = measured_hz(sound, truth_hz, start_s=0.08, seconds=0.3)
        assert abs(cents(found_hz, truth_hz)) < 0.5, n


def test_stiffness_is_that_of_nylon():
    """B = pi^3 E d^4 / (64 T L^2) with catalogue figures lies between 6e-5 and 3e-4 (open)."""
    for string in CONCERT.strings:
        assert 6e-5 <= string.b <= 3e-4


def test_a_matrix_product_is_the_sum_of_sines():
    """The product against sines computed one by one in float64: 1e-6 of the peak."""
    hz = np.array([261.6, 523.4, 1047.0, 5000.0])
    decay = np.array([2.0, 4.0, 9.0, 30.0])
    c = np.array([[1.0 - 0.5j, 0.4j, 0.2, 0.1], [0.1, 0.2, 0.3j, 0.4]])
    got = decaying_sines(c, hz, decay, 20001, RATE_HZ)
    t = np.arange(20001) / RATE_HZ
    modes = np.exp((2j * np.pi * hz - decay)[:, None] * t)
    truth = (c @ modes).real
    assert np.abs(got - truth).max() < 1e-6 * np.abs(truth).max()


def test_pluck_position_silences_its_partials():
    """Plucked at 1/m of the length, partial m and its multiples all but vanish (the same book)."""
    voice = CONCERT._replace(pluck_m=CONCERT.scale_m / 4, node_floor=0.0)
    amplitude = np.abs(pluck.string_partials(voice, 60, 3, 0).amplitude[0, 2])
    assert amplitude[3] < 1e-9 * amplitude[2]
    assert amplitude[7] < 1e-9 * amplitude[6]


@pytest.mark.parametrize("name", sorted(PLUCKED))
def test_louder_is_brighter_and_highs_die_first(name):
    voice = PLUCKED[name]
    pitch = min(voice.open_midi)
    string = len(voice.open_midi) - voice.open_midi.index(pitch)
    partials = pluck.string_partials(voice, pitch, string, 0)
    amplitude = np.abs(partials.amplitude[0])
    centroids = (amplitude * partials.hz).sum(1) / amplitude.sum(1)
    assert np.all(np.diff(centroids) > 0)
    low, high = partials.hz < 600, partials.hz > 2000
    if high.any():
        assert partials.decay_per_s[high].min() > partials.decay_per_s[low].min()


def test_the_four_strings_differ():
    """The same pitch on two strings is not the same sound."""
    on_string_4 = one_note(CONCERT, 69, 4, 2)
    on_string_1 = one_note(CONCERT, 69, 1, 0)
    assert np.abs(on_string_4 - on_string_1).max() > 0.05 * np.abs(on_string_1).max()


def test_a_slide_is_a_true_glide():
    """All partials start a fret below and arrive together, without a second attack."""
    bends = (Bend(0.0, -1.0), Bend(0.1, 0.0))
    slid = performance(2.0, chords=[note(0.0, 1.8, 69, string=1, fret=0, bends=bends)])
    sound, *_ = rendered_notes(schedule_of(slid), RATE_HZ)
    truth_hz = midi_to_hz(69)
    arrived_hz = measured_hz(sound, truth_hz, start_s=0.15)
    assert abs(cents(arrived_hz, truth_hz)) < 0.05
    second_hz = 2 * truth_hz
    halfway_hz = measured_hz(sound, truth_hz * 2 ** (-0.5 / 12), start_s=0.03, seconds=0.04)
    assert -75 < cents(halfway_hz, truth_hz) < -20
    both_hz = measured_hz(sound, second_hz * 2 ** (-0.5 / 12), start_s=0.03, seconds=0.04)
    assert abs(cents(both_hz / 2, halfway_hz)) < 8


def test_onsets_are_where_the_events_are():
    """Median error of the onset under 1 ms over notes of every part, each by itself."""
    errors = []
    for part, pitches in (
        ("chords", (60, 64, 69, 76)),
        ("bass", (28, 33, 40, 45)),
        ("drums", (51, 44, 38, 37)),
    ):
        places_s = [0.5013 + 0.7371 * place for place in range(4)]
        notes = [note(at, at + 0.3, pitch, 90) for at, pitch in zip(places_s, pitches, strict=True)]
        sound = np.concatenate(list(render_blocks(performance(3.5, **{part: notes}))))[:, 0]
        for at in places_s:
            first = round((at - 0.02) * RATE_HZ)
            before = np.abs(sound[first - 400 : first]).max()
            loud = np.abs(sound[first : first + 4410])
            # the onset is where the sound first passes a twentieth of its peak
            errors.append(first + int(np.argmax(loud > before + loud.max() / 20)) - at * RATE_HZ)
    errors_ms = np.array(errors) / RATE_HZ * 1000
    assert np.median(np.abs(errors_ms)) < 1.0
    assert np.abs(errors_ms).max() < 5.0


def test_a_string_struck_again_is_cut_and_a_damped_note_ends():
    ringing = note(0.0, 0.4, 69, string=1, fret=0, touch="ring")
    again = note(0.5, 0.9, 72, string=1, fret=3, touch="damp")
    alone = Renderer(schedule_of(performance(2.0, chords=[ringing])))
    both = Renderer(schedule_of(performance(2.0, chords=[ringing, again])))
    alone_sound = alone.block(0, alone.workspace()).copy()
    both_sound = both.block(0, both.workspace()).copy()
    late = slice(round(0.45 * RATE_HZ), round(0.499 * RATE_HZ))
    np.testing.assert_allclose(alone_sound[:, late], both_sound[:, late], atol=1e-6)
    # half a second after the damped end the room is silent too, while the open string rings on
    late = slice(round(1.5 * RATE_HZ), round(1.6 * RATE_HZ))
    assert np.abs(both_sound[:, late]).max() < 1e-3 * np.abs(both_sound).max()
    # judged against that silence, not against the peak: a pluck's noise is most of that
    assert np.abs(alone_sound[:, late]).max() > 20 * np.abs(both_sound[:, late]).max()


@pytest.mark.parametrize("touch", ["chuck", "mute"])
def test_a_damped_stroke_is_short(touch):
    sound = pluck.plucked(CONCERT, 69, 1, 0, touch, (2,), RATE_HZ, RATE_HZ)[0]
    energy = np.cumsum(np.square(sound))
    assert energy[round(0.08 * RATE_HZ)] > 0.99 * energy[-1]


def test_a_hammered_note_has_no_pluck():
    """A note sounded by the fretting hand alone starts softer and duller than a plucked one."""
    frames = round(0.01 * RATE_HZ)
    plucked = pluck.plucked(CONCERT, 69, 1, 0, "pluck", (2,), RATE_HZ, RATE_HZ)[0]
    hammered = pluck.plucked(CONCERT, 69, 1, 0, "slur", (2,), RATE_HZ, RATE_HZ)[0]
    assert np.abs(np.diff(hammered[:frames])).max() < 0.3 * np.abs(np.diff(plucked[:frames])).max()
