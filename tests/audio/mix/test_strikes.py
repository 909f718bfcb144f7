"""Strokes of one note: takes in turn, brightness that follows loudness, no two alike."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from porchswing.audio.mix.mixdown import Renderer
from porchswing.audio.mix.note_sounds import rendered_notes
from porchswing.audio.mix.strikes import schedule_of
from porchswing.audio.synth import pluck
from porchswing.audio.synth.voices import CONCERT, LAYERS, PLUCKED, TAKES
from porchswing.chart.language.reader import read_chart
from porchswing.options import Choices
from porchswing.performance.strokes import BRIGHTNESS
from porchswing.take import take_from_chart
from support.hand_performances import note, performance

RATE_HZ = 44100
VOICES = ("soprano", "concert", "tenor", "baritone")


def struck_notes(velocities, brightness=0.0):
    """Return one note struck so often, each stroke's samples as the mix adds them, by itself."""
    notes = [
        note(0.5 * place, 0.5 * place + 0.4, 67, velocity, string=4, fret=0, brightness=brightness)
        for place, velocity in enumerate(velocities)
    ]
    schedule = schedule_of(performance(0.5 * len(notes), chords=notes))
    sounds = rendered_notes(schedule, RATE_HZ)
    for strike in schedule.strikes["chords"]:
        heard = sounds[strike.sound][:15000] * strike.gain
        if strike.other >= 0:
            heard = heard + sounds[strike.other][:15000] * strike.other_gain
        yield heard


def centroid_hz(sound):
    spectrum = np.abs(np.fft.rfft(sound[: round(0.1 * RATE_HZ)])) ** 2
    return float(np.sum(np.fft.rfftfreq(4410, 1 / RATE_HZ) * spectrum) / spectrum.sum())


def likeness(one, other):
    return float(np.dot(one, other) / np.sqrt(np.dot(one, one) * np.dot(other, other)))


def test_there_are_four_takes_and_eight_strokes_of_one_loudness_never_repeat_at_once():
    assert len(TAKES) >= 4
    strokes = list(struck_notes([90] * 8))
    for one, other in pairwise(strokes):
        assert not np.array_equal(one, other)
        assert likeness(one, other) < 0.995
    np.testing.assert_array_equal(strokes[0], strokes[len(TAKES)])  # in turn


def test_takes_share_their_partials_and_their_loudness():
    """One tuning, one decay, one level: only gains, phases and noise differ."""
    frames = RATE_HZ // 2
    takes = tuple(range(len(TAKES)))
    rows = pluck.plucked(CONCERT, 67, 4, 0, "pluck", (1,) * 4, frames, RATE_HZ, takes)
    first, *others = pluck.string_partials(CONCERT, 67, 4, 0).amplitude
    assert len(others) == len(TAKES) - 1
    for other in others:
        assert not np.allclose(other, first)
    level = 10 * np.log10(np.mean(rows**2, axis=1))
    assert np.ptp(level) < 1.5


@pytest.mark.parametrize("name", VOICES)
def test_loudest_is_half_again_as_bright_as_softest(name):
    voice = PLUCKED[name]
    pitch, string = voice.open_midi[1], 3
    rows = pluck.plucked(voice, pitch, string, 0, "pluck", tuple(range(LAYERS)), 15000, RATE_HZ)
    found = [centroid_hz(row) for row in rows]
    assert found == sorted(found)
    assert found[-1] > 1.5 * found[0]


def test_brightness_follows_loudness_without_steps():
    """Each velocity is a little brighter than the one before: no jump of a layer."""
    velocities = list(range(8, 128, 4))
    found = np.array([centroid_hz(s) for s in struck_notes(sorted(velocities * 4))])
    by_velocity = found.reshape(-1, 4).mean(axis=1)  # the takes apart, each velocity has all four
    assert by_velocity[-1] > 1.5 * by_velocity[0]
    steps = np.diff(by_velocity) / by_velocity[:-1]
    assert steps.min() > -0.01
    assert steps.max() < 0.08


def test_a_brighter_hand_is_brighter_at_the_same_loudness():
    bright, dull = (next(struck_notes([80], brightness)) for brightness in BRIGHTNESS.values())
    assert centroid_hz(bright) > 1.05 * centroid_hz(dull)


def test_a_mix_adds_both_layers():
    take = performance(1.0, chords=[note(0.0, 0.9, 67, 80, string=4, fret=0)])
    renderer = Renderer(schedule_of(take))
    mixed = renderer.block(0, renderer.workspace())[0]
    own = next(struck_notes([80]))
    assert likeness(mixed[:15000], own) > 0.9


def test_a_whole_tune_has_no_two_strokes_running_alike(root):
    """Bit for bit: of 700 strokes none is the one before it on its string again."""
    take = take_from_chart(read_chart(root / "demos/lantern_street_stroll.changes"), Choices())
    strikes = list(schedule_of(take.performance).strikes["chords"])
    by_string = {}
    for stroke, strike in zip(take.performance.part("chords").notes, strikes, strict=True):
        by_string.setdefault(stroke.string, []).append((strike.sound, strike.other, strike.gain))
    assert sum(len(found) for found in by_string.values()) > 600
    for found in by_string.values():
        assert all(one != other for one, other in pairwise(found))
    distinct = {strike[:2] + strike[4:7] for strike in strikes}
    assert len(distinct) > 0.8 * len(strikes)


def test_a_chuck_is_damped_by_a_hand_on_the_string():
    """A partial with its node under the hand lives longer than one with its belly there."""
    damping = pluck._contact(12, 1.0 / 4.0)
    assert damping[3] < 0.5 * damping[1]  # 4 has a node at a quarter, 2 its belly
    assert damping.min() > 20.0


@pytest.mark.parametrize(
    ("gap_s", "touch", "is_silent"),
    [(0.04, "ring", True), (0.08, "damp", True), (0.2, "ring", False), (0.04, "slur", False)],
)
def test_a_finger_lands_on_the_string_before_it_plucks_again(gap_s, touch, is_silent):
    """In rolls and tremolos; a slow stroke rings to the next, and nothing lands for a slur."""
    notes = [
        note(0.1, 0.1 + gap_s, 67, string=4, fret=0, touch="ring"),
        note(0.1 + gap_s, 1.0, 67, string=4, fret=0, touch=touch),
    ]
    first, second = schedule_of(performance(1.0, chords=notes)).strikes["chords"]
    end_s = first.stop_s + first.damp_s
    assert (end_s <= second.start_s + 1e-9) is is_silent
    assert end_s - second.start_s == pytest.approx(0.0 if is_silent else first.damp_s)


def test_a_roll_is_no_louder_than_its_loudest_stroke():
    """Three strokes of one string 40 ms apart, as the fingers of a roll play them."""

    def peak(fret, *velocities):
        places = [0.1 + 0.04 * place for place in range(3 - len(velocities), 3)]
        notes = [
            note(at, at + 0.04, 67 + fret, velocity, string=4, fret=fret, touch="ring")
            for at, velocity in zip(places, velocities, strict=True)
        ]
        renderer = Renderer(schedule_of(performance(0.5, chords=notes)))
        return float(np.abs(renderer.block(0, renderer.workspace())).max())

    # 1.11 where the strokes sound into each other; the takes of a note differ by half a dB
    louder = [peak(fret, 70, 78, 89) / peak(fret, 89) for fret in (0, 2, 5, 7, 9)]
    assert np.mean(louder) < 1.05


def test_every_strike_finds_as_much_of_its_sounds_as_it_plays():
    """Its onset, its end and how long it is damped are rounded to frames, each by itself."""
    rng = np.random.default_rng(7)
    for onset_s, length_s in rng.uniform(0.05, 0.1, (400, 2)):
        notes = [note(onset_s, onset_s + length_s, 67, 90, string=4, fret=0)]
        renderer = Renderer(schedule_of(performance(0.3, chords=notes)), 22050)
        ((start, _, end, sound, other, _),) = renderer._events.grid.T.tolist()
        for number in {sound, max(sound, other)}:
            assert end - start <= renderer._sounds[number].size
