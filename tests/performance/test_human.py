"""Human timing against what was measured of players."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from porchswing.performance.human import (
    LIMBS,
    OCTAVES,
    OFFSETS,
    OWN_OCTAVES,
    SLOWER,
    Octaves,
    humans,
    octave_widths,
    together,
)
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from support import made
from support.series import dfa_exponent, lag_1

BEATS = 256


def take(seed: int, humanize: float, bpm: float = 120.0) -> Performance:
    score = made.hand_made(
        made.rides(BEATS),
        made.walks([40 + n % 7 for n in range(BEATS)]),
        quarter_bpm=bpm,
        beats=BEATS,
        seed=seed,
    )
    return perform(score, humanize=humanize)


def offsets(performance: Performance, part: str) -> np.ndarray:
    return np.array([note.offset_s for note in performance.part(part).notes])


@pytest.fixture(scope="module")
def full() -> list[Performance]:
    return [take(seed, 1.0) for seed in range(12)]


def test_the_analysis_knows_white_noise_from_a_random_walk():
    # Peng et al., Physical Review E 49 (1994): exponent 0.5 and 1.5
    noise = np.random.default_rng(4).normal(size=4096)
    assert dfa_exponent(noise) == pytest.approx(0.5, abs=0.06)
    assert dfa_exponent(np.cumsum(noise)) == pytest.approx(1.5, abs=0.08)


def test_deviations_are_long_range_correlated(full):
    # Groove MIDI Dataset (CC BY 4.0), ride hits: DFA exponent 0.62 to 1.03, lag-1
    # autocorrelation 0.39 to 0.78; Hennig et al. 2011, PLoS ONE 6:e26457
    series = [offsets(one, "drums") for one in full]
    assert all(0.62 <= dfa_exponent(one) <= 1.03 for one in series)
    assert 0.39 <= np.median([lag_1(one) for one in series]) <= 0.78
    assert all(0.3 < lag_1(one) < 0.8 for one in series)
    shuffled = np.random.default_rng(1).permutation(series[0])
    assert dfa_exponent(shuffled) < 0.6


def test_full_setting_strays_as_far_as_drummers_do_and_no_farther(full):
    # Groove MIDI Dataset: inter-onset deviation 3.6 to 4.7 % of the beat
    for one in full:
        onsets = np.array([n.onset_s for n in one.part("drums").notes][::2])
        assert 0.036 <= np.std(np.diff(onsets) / 0.5) <= 0.047


def test_the_default_is_small_and_slow_tunes_do_not_get_sloppy():
    # Datseris et al. 2019: exaggerated deviations hurt; the sizes here are our choice
    assert np.std(offsets(take(3, 0.3), "drums")) < 0.008
    assert np.std(offsets(take(3, 1.0, bpm=40.0), "drums")) < 0.03


def test_loudness_strays_too_and_is_correlated(full):
    # Räsänen et al. 2015, PLoS ONE 10(6): loudness is long-range correlated as well
    for one in full:
        loudness = np.array([float(n.velocity) for n in one.part("drums").notes])
        assert 3 < np.std(loudness) < 12
        assert 0.62 <= dfa_exponent(loudness) <= 1.03
        assert lag_1(loudness) > 0.1


@pytest.mark.parametrize("slower", [*SLOWER.values(), 1.0])
def test_all_octaves_together_have_variance_1_whatever_their_slope(slower):
    widths = octave_widths(slower)
    assert sum(width**2 / 12 for width in widths) == pytest.approx(1.0)  # uniform: width squared/12
    noise = Octaves("any", range(OCTAVES), widths)
    assert np.var([noise.at(place) for place in range(1 << 16)]) == pytest.approx(1.0, rel=0.15)


def test_bass_and_ride_stay_together_as_the_default_has_it():
    # 3.3 ms between them from beat to beat: small against Hofmann et al. 2017 (under 19 ms)
    for seed in range(4):
        one = take(seed, 0.3)
        ride = {note.beats: note.onset_s for note in one.part("drums").notes}
        apart_s = [note.onset_s - ride[note.beats] for note in one.part("bass").notes]
        assert 0.002 < np.std(apart_s) < 0.0038


@pytest.mark.parametrize("bpm", [60.0, 120.0, 240.0])
@pytest.mark.parametrize("humanize", [0.3, 1.0])
def test_the_bass_lies_behind_the_drums_as_measured(bpm, humanize):
    # JTD (Cheston et al., TISMIR 2024): bass minus drums +1.5 % of a beat (CI 1.0 to 2.0);
    # asked of us: 0 to 2 %. Hofmann et al. 2017: asynchronies under 19 ms
    for seed in range(4):
        one = take(seed, humanize, bpm)
        lag_s = offsets(one, "bass").mean() - offsets(one, "drums").mean()
        assert 0.0 < lag_s / (60.0 / bpm) < 0.02
        assert lag_s < 0.019


def test_every_average_offset_is_under_19_ms_at_any_tempo():
    assert all(offset.cap_s < 0.019 for offset in OFFSETS.values())
    assert "drums" not in OFFSETS  # the band does not lag itself
    # everybody a little behind the drums, and nobody behind the bass (our choice)
    assert all(0 < offset.beats <= OFFSETS["bass"].beats < 0.02 for offset in OFFSETS.values())
    assert all(0 < offset.cap_s <= OFFSETS["bass"].cap_s for offset in OFFSETS.values())


def test_the_count_never_strays():
    (count,) = humans(["count"], 1.0, 5)
    assert count.deviation(Fraction(1), 0.5) == (0.0, 1.0)


def lates(player, bpm: float = 60.0, beats: int = 512) -> np.ndarray:
    """Return how late a player is in ms at every sixteenth of so many beats."""
    places = [Fraction(n, 4) for n in range(4 * beats)]
    return np.array([1000 * player.deviation(beat, 60 / bpm)[0] for beat in places])


def test_everybody_strays_with_the_drummer_and_a_little_alone():
    drums, bass, chords = humans(["drums", "bass", "chords"], 1.0, 3)
    band = lates(drums)
    assert np.std(band) == pytest.approx(19.0, rel=0.25)  # the cap of slow tunes
    alone = [lates(player) - band for player in (bass, chords)]
    for own, mean_ms in zip(alone, (4.0, 2.8), strict=True):
        assert np.mean(own) == pytest.approx(
            mean_ms, abs=0.25
        )  # of 4.5 and 3.0: what is far is held
        assert 1.4 < np.std(own) < 2.3
        assert np.abs(own).max() < 6.7
        # held, not cut: nothing piles up at the bound
        near, farther = (((own > low) & (own < low + 0.7)).sum() for low in (5.3, 6.0))
        assert farther < 0.5 * near
    assert abs(np.corrcoef(alone)[0, 1]) < 0.1


def test_a_sound_far_from_the_others_is_brought_near_and_order_stays():
    asked = np.linspace(-0.05, 0.05, 101)
    held = np.array([together(late_s) for late_s in asked])
    assert (np.diff(held) > 0).all()
    assert held == pytest.approx(-held[::-1])
    assert np.abs(held).max() < 0.0067
    small = np.abs(asked) <= 0.003
    assert held[small] == pytest.approx(asked[small], rel=0.011)


@pytest.mark.parametrize("what", ["timing", "loudness"])
def test_noise_of_all_octaves_has_variance_one_and_no_lean(what):
    players = [next(humans(["drums"], 1.0, seed)) for seed in range(400)]
    octaves = [(one.band,) if what == "timing" else one.loudness for one in players]
    noise = [sum(some.at(3) for some in one) for one in octaves]
    assert np.std(noise) == pytest.approx(1.0, abs=0.12)
    assert np.mean(noise) == pytest.approx(0.0, abs=0.15)


def test_slow_octaves_of_loudness_move_the_band_as_one_and_fast_ones_each_player_alone():
    drums, bass = humans(["drums", "bass"], 1.0, 3)
    (alone, held), (other, also) = drums.loudness, bass.loudness
    swell = [held.at(cell) for cell in range(144)]
    assert swell == [also.at(cell) for cell in range(144)]
    halves = [set(swell[at : at + 2**OWN_OCTAVES]) for at in range(0, 144, 8)]
    assert all(len(half) == 1 for half in halves)
    assert len(set.union(*halves)) == 18
    own = np.array([[one.at(cell) for cell in range(512)] for one in (alone, other)])
    assert abs(np.corrcoef(own)[0, 1]) < 0.25
    assert len(set(own[0])) == 512


def test_the_settings_scale_what_a_player_strays():
    half, full = (next(humans(["bass"], setting, 1)) for setting in (0.5, 1.0))
    assert (half.loudness_size, full.loudness_size) == (0.5, 1.0)
    assert half.timing_size == pytest.approx(0.5**1.5)
    assert (half.lean, full.lean) == (1.0, 1.0)
    assert next(humans(["bass"], 0.15, 1)).lean == pytest.approx(0.5)


def test_deviations_change_every_sixteenth_and_wherever_the_tune_begins():
    (player,) = humans(["chords"], 1.0, 2)
    at = [player.deviation(Fraction(n, 8), 0.5) for n in range(-64, 64)]
    assert at[0::2] == at[1::2]  # two thirty-seconds share their sixteenth
    assert len(set(at)) == 64


def test_hats_and_sweeps_are_ahead_of_the_ride_and_what_is_struck_behind_it():
    ahead = {piece for piece, late_s in LIMBS.items() if late_s < 0}
    assert ahead == {"hat_pedal", "hat_closed", "hat_open", "brush_sweep"}
    assert all(0.001 <= abs(late_s) <= 0.005 for late_s in LIMBS.values())


def test_a_limb_strays_about_its_own_place():
    # kick 4 ms behind the ride, hat pedal 4.5 ms ahead, less where they are held near it; the
    # ride strays by 1.5 ms (our choice)
    (player,) = humans(["drums"], 1.0, 8)
    (lighter,) = humans(["drums"], 0.15, 8)
    beats = [Fraction(n, 4) for n in range(-8, 2000)]
    limbs = (("kick", 3.8, 1.2), ("hat_pedal", -4.2, 1.2), ("ride", 0.0, 1.5))
    for piece, late_ms, stray_ms in limbs:
        late = np.array([1000 * player.limb_s(piece, beat) for beat in beats])
        assert late.mean() == pytest.approx(late_ms, abs=0.15)
        assert late.std() == pytest.approx(stray_ms, abs=0.1)
        assert np.abs(late).max() < 6.7
        half = [1000 * lighter.limb_s(piece, beat) for beat in beats]
        assert half == pytest.approx(late / 2)
    assert next(humans(["drums"], 0.0, 8)).limb_s("kick", Fraction(0)) == 0.0


def test_the_gaps_of_a_stroke_are_uneven_by_chance_within_one():
    (player,) = humans(["chords"], 1.0, 8)
    gaps = np.array([player.gaps(Fraction(n, 4)) for n in range(-8, 500)])
    assert gaps.shape == (508, 5)  # those of six strings
    assert gaps.min() < -0.98
    assert gaps.max() > 0.98
    assert np.abs(gaps).max() <= 1.0
    assert gaps.std() == pytest.approx(3**-0.5, abs=0.03)
    assert len({tuple(row) for row in gaps.round(9)}) == 508
    assert player.gaps(Fraction(1, 8)) == player.gaps(Fraction(0))  # of one sixteenth
    (lighter,) = humans(["chords"], 0.15, 8)
    assert lighter.gaps(Fraction(1)) == pytest.approx([gap / 2 for gap in player.gaps(Fraction(1))])
    assert next(humans(["chords"], 0.0, 8)).gaps(Fraction(1)) == ()


def test_one_part_strays_the_same_whatever_the_others_play():
    bass = made.walks([40 + n % 7 for n in range(32)])
    alone = perform(made.hand_made(bass, beats=32, seed=7), humanize=0.6)
    with_drums = perform(made.hand_made(made.rides(32), bass, beats=32, seed=7), humanize=0.6)
    assert alone.part("bass") == with_drums.part("bass")


def test_the_seed_decides():
    assert take(1, 0.5).parts == take(1, 0.5).parts
    assert take(1, 0.5).parts != take(2, 0.5).parts
