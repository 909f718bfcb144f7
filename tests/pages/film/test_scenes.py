"""What every frame shows: against the cues, and against the MIDI as others read it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from io import BytesIO
from itertools import pairwise

import pytest

from porchswing.options import BandStyle, Choices
from porchswing.pages.cues import cue_text
from porchswing.pages.film.scenes import MOST_FLASHES_HZ, Film
from support.films import SHORT, film_and_take

RATES = (Fraction(24), Fraction(30000, 1001))
JIG = "title: Six\nkey: G\nmeter: 6/8\ntempo: 83\n[A]\n| G | Am D7 | G Em | D7 |\n"
WALTZ = "title: Three\nkey: C\nmeter: 3/4\ntempo: 171\n[A]\n| C | A7 | Dm{push} | G7{slide} |\n"
RACE = "title: Two\nkey: C\nmeter: 2/4\ntempo: 400\n[A]\n| C | F | G7 | C |\n| C | F | G7 | C |\n"
RESTS = "title: Rests\nkey: C\ntempo: 97.3\n[A]\n| C6 | N.C. | F6 N.C. | G9 |\n"
SLOWING = Choices(style=BandStyle(ritardando=0.5, count_in_bars=0))

CASES = {
    "four": (SHORT, Choices()),
    "six eight": (JIG, Choices()),
    "three four": (WALTZ, Choices(humanize=1.0)),
    "very fast": (RACE, Choices()),
    "rests": (RESTS, Choices(choruses=2)),
    "slowing down": (SHORT, SLOWING),
    "twice": (SHORT, Choices(choruses=2, style=BandStyle(tempo_bpm=61.7, strum="charleston"))),
    "a loop": (SHORT, Choices(style=BandStyle(loop=True))),
}


@pytest.mark.parametrize("rate", RATES, ids=lambda rate: f"{float(rate):.2f}")
@pytest.mark.parametrize("case", CASES)
def test_chords_change_within_a_frame_of_their_cues(
    case: str, rate: Fraction, need_module: Callable[[str], None]
) -> None:
    """The cues as webvtt-py reads them from the text a lesson writes."""
    need_module("webvtt")
    import webvtt

    film, take = film_and_take(*CASES[case], rate)
    cues = webvtt.from_string(cue_text(take.performance, "chord")).captions
    shown = [
        shot
        for before, shot in zip([None, *film.shots], film.shots, strict=False)
        if shot.scene.now and (before is None or symbol(before.scene) != symbol(shot.scene))
    ]
    assert [symbol(shot.scene) for shot in shown] == [cue.text for cue in cues]
    for shot, cue in zip(shown, cues, strict=True):
        assert abs(shot.first_frame - seconds(cue.start) * rate) <= 1


def seconds(stamp: str) -> float:
    hours, minutes, rest = stamp.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(rest)


def symbol(scene: object) -> str:
    now = getattr(scene, "now", None)
    return now.symbol if now else ""


@pytest.mark.parametrize("rate", RATES, ids=lambda rate: f"{float(rate):.2f}")
@pytest.mark.parametrize("case", [case for case in CASES if case != "very fast"])
def test_strokes_light_within_a_frame_of_their_sound(
    case: str, rate: Fraction, need_module: Callable[[str], None]
) -> None:
    """The onsets as pretty_midi reads them from the MIDI file."""
    need_module("pretty_midi")
    import pretty_midi

    film, take = film_and_take(*CASES[case], rate)
    midi = pretty_midi.PrettyMIDI(BytesIO(take.midi_bytes()))
    chords = next(each for each in midi.instruments if each.name == "chords")
    onsets = sorted(note.start for note in chords.notes)
    lit = [shot for shot in film.shots if shot.scene.lit is not None]
    firsts = [
        shot.first_frame
        for before, shot in zip([None, *lit], lit, strict=False)
        if before is None
        or (before.scene.place, before.scene.lit) != (shot.scene.place, shot.scene.lit)
        or before.first_frame + before.frames < shot.first_frame
    ]
    assert len(firsts) == sum(len(bar.strokes) for bar in film.bars) > 4
    for frame in firsts:
        assert min(abs(onset * rate - frame) for onset in onsets) <= 1
    missed = [onset for onset in onsets if min(abs(onset * rate - f) for f in firsts) > 4]
    assert not missed, "a sound without a light (a rolled stroke spreads over four frames at most)"


@pytest.mark.parametrize("case", CASES)
def test_the_shots_fill_the_film_and_the_film_the_track(case: str) -> None:
    for rate in RATES:
        film, take = film_and_take(*CASES[case], rate)
        at = 0
        for shot in film.shots:
            assert shot.first_frame == at
            assert shot.frames >= 1
            at += shot.frames
        assert 0 <= at - take.performance.end_s * rate < 1
        assert all(a.scene != b.scene for a, b in pairwise(film.shots))


def test_the_grip_next_is_the_grip_after() -> None:
    film, _ = film_and_take(SHORT)
    shown = [shot.scene for shot in film.shots if shot.scene.now]
    for scene, after in pairwise(shown):
        assert scene.now is not None
        assert after.now is not None
        if scene.now.symbol != after.now.symbol:
            assert scene.next is not None
            assert (scene.next.symbol, scene.next.grip) == (after.now.symbol, after.now.grip)
    assert shown[-1].next is None


def test_the_count_in_shows_its_numbers_and_the_first_grip() -> None:
    film, _ = film_and_take(SHORT, Choices(style=BandStyle(count_in_bars=2)))
    counted = [shot.scene for shot in film.shots if shot.scene.count]
    assert [scene.count for scene in counted] == ["1", "2", "1", "2", "3", "4"]
    assert {scene.place for scene in counted} == {"count-in"}
    assert {scene.next.symbol for scene in counted if scene.next} == {"F6"}
    uncounted, _ = film_and_take(SHORT, SLOWING)
    assert uncounted.shots[0].scene.place == "A, bar 1 of 2"


@pytest.mark.parametrize("bpm", [180, 241, 400])
@pytest.mark.parametrize("meter", ["2/4", "3/4", "4/4", "6/8"])
def test_no_light_flashes_more_than_three_times_a_second(meter: str, bpm: int) -> None:
    text = f"title: Fast\nkey: C\nmeter: {meter}\ntempo: {bpm}\n[A]\n| C | F | G7 | C |\n"
    film, _ = film_and_take(text, Choices(choruses=3))
    assert most_lit_in_a_second(film) <= MOST_FLASHES_HZ
    assert MOST_FLASHES_HZ == 3  # WCAG 2.3.1


def most_lit_in_a_second(film: Film) -> int:
    """Return how often one place is lit anew within any second."""
    found: dict[object, list[int]] = {}
    before: set[object] = set()
    for shot in film.shots:
        scene = shot.scene
        lit: set[object] = set()
        if scene.lit is not None:
            lit.add(scene.cells[scene.lit].at)
        if scene.beat is not None:
            lit.add(f"beat {scene.beat}")
        for place in lit - before:
            found.setdefault(place, []).append(shot.first_frame)
        before = lit
    within = Counter(
        (place, first)
        for place, firsts in found.items()
        for first in firsts
        for other in firsts
        if 0 <= other - first < film.rate
    )
    return max(within.values(), default=0)
