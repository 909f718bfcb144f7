"""Hand profiles: what they say, what they refuse, and what a chord no hand can play gets."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from porchswing.chart.language.reader import parse_chart, read_chart
from porchswing.errors import GripError
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.hand import (
    CLOSED_HAND,
    EASES,
    OPEN_HAND,
    Ease,
    Hand,
    Weights,
    load_ease,
    read_ease,
)
from porchswing.harmony.choice.reharmonize import reharmonize

PROFILE = """
name = "Rosie"
[limits]
max_stretch = 2
max_fret = 9
barre = false
fingers = 3
region = [3, 6]
pace = 1.5
[weights]
stretch = 4
"""


def test_a_profile_overrides_what_it_names():
    ease = read_ease(PROFILE)
    assert ease.over(CLOSED_HAND) == Hand(
        "Rosie", 2, 9, False, 3, (3, 6), Weights(stretch=4.0), pace=1.5
    )
    assert ease.over(OPEN_HAND).weights.no_open == OPEN_HAND.weights.no_open
    assert read_ease("") == Ease()
    assert Ease().over(CLOSED_HAND) == CLOSED_HAND


def test_the_profile_that_readme_shows_is_good(root):
    text = (root / "README.md").read_text(encoding="utf-8")
    (shown,) = [b for b in re.findall(r"```toml\n(.*?)```", text, re.DOTALL) if "[limits]" in b]
    assert read_ease(shown).over(CLOSED_HAND).region == (2, 7)


def test_profiles_load_by_name_or_from_a_file(tmp_path):
    path = tmp_path / "rosie.toml"
    path.write_text(PROFILE, encoding="utf-8")
    assert load_ease(str(path)).name == "Rosie"
    assert load_ease("small") == EASES["small"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "[limits]\nmax_strech = 2",
            r"unknown key 'limits\.max_strech'",
        ),
        (
            "[limits]\nmax_stretch = 2.5",
            r"limits\.max_stretch must be a whole number",
        ),
        ("[limits]\nbarre = 1", r"limits\.barre must be true or false, got 1"),
        (
            "[limits]\nfingers = true",
            r"limits\.fingers must be a whole number",
        ),
        ("[limits]\nfingers = 5", r"limits\.fingers must be a whole number from 1 to 4, got 5"),
        ("[limits]\nregion = [7]", "region must be two frets"),
        ("[limits]\nregion = [7, 3]", "two rising frets"),
        ("[weights]\nsemitones = 1", r"unknown key 'weights\.semitones'; did you mean 'semitone'"),
        ("[weights]\nstretch = -1", r"weights\.stretch must be a number from 0 to 100"),
        ("[weights]\nstretch = nan", r"weights\.stretch must be a number from 0 to 100"),
        ("[hand]\nbarre = false", "unknown key 'hand'; known: name, limits, shapes, weights"),
        ("limits = 3", "limits must be a table"),
        ("shapes = 3", "shapes must be a table"),
        ("[shapes]\nknew = 3", r"unknown key 'shapes\.knew'"),
        ("[shapes]\nknown = ['54q3']", r"shapes\.known a known shape is one fret a string"),
        ("[shapes]\nnew = 1.5", r"shapes\.new must be a whole number"),
        ("[shapes]\nnew = -1", r"shapes\.new must be a whole number from 0 to 50, got -1"),
        ("[limits]\npace = 9", r"limits\.pace must be a number from 0\.2 to 5, got 9"),
        ("[limits", "hand profile:"),
    ],
)
def test_a_wrong_profile_says_where(text, message):
    with pytest.raises(GripError, match=message):
        read_ease(text)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="a device of Unix")
def test_a_file_without_end_is_refused():
    with pytest.raises(GripError, match="it has more than 100,000 bytes"):
        load_ease("/dev/zero")


def test_a_missing_file_names_the_known_profiles(tmp_path):
    with pytest.raises(
        GripError, match=r"nobody\.toml: No such file or directory; known: small, no-barre"
    ):
        load_ease(str(tmp_path / "nobody.toml"))


def test_a_small_hand_stretches_less():
    chart = parse_chart("[A]\n| G13 | C9 | F6/9 | Bb7 |")
    for slot in voice(chart, ease=EASES["small"]).slots:
        pressed = [fret for fret in slot.grip.frets if fret]
        assert max(pressed) - min(pressed) <= 2


@pytest.mark.parametrize("lane", ["plain", "swing"])
def test_a_hand_without_barres_lays_no_finger_in_the_demos(root, lane):
    for path in sorted((root / "demos").glob("*.changes")):
        lead = reharmonize(read_chart(path))
        slots = voice(lead, lane=lane, ease=EASES["no-barre"]).slots
        assert slots
        presses = [press for slot in slots if slot.grip for press in slot.grip.held.presses]
        assert not any(press.is_barre for press in presses), path


def test_a_hand_without_barres_lays_no_finger_in_random_charts():
    rng = random.Random("no barre")
    played = 0
    for _ in range(20):
        chords = " | ".join(
            rng.choice("CDEFGAB") + rng.choice(("", "m", "7", "m7", "6", "9")) for _ in range(8)
        )
        slots = voice(parse_chart(f"[A]\n| {chords} |"), ease=EASES["no-barre"]).slots
        for slot in slots:
            played += 1
            fingers = [finger for finger in slot.fingers if finger]
            assert len(fingers) == len(set(fingers)) == sum(bool(fret) for fret in slot.grip.frets)
    assert played == 160


def test_a_lock_that_takes_a_barre_is_refused_by_a_hand_without():
    chart = parse_chart("tuning: guitar\n[A]\n| F@133211 | C7@x35353 |")
    with pytest.raises(GripError, match=r"133211 locked under F takes a finger across strings"):
        voice(chart, grips="any", ease=EASES["no-barre"])


@pytest.mark.parametrize(
    ("chart", "choices", "parts"),
    [
        (
            "[A]\n| C | E7 |",
            {"frets": (1, 2)},
            ["section A, bar 1", "no closed grip for C on gCEA", "frets 1 to 2", "frets 1 to 5"],
        ),
        (
            "[A]\n| E7 |",
            {"hand": Hand(fingers=1)},
            ["no closed grip for E7", "1 finger;", "2 fingers"],
        ),
        (
            "[A]\n| Am7b5 |",
            {"max_stretch": 1, "max_fret": 4, "hand": Hand(barre=False, fingers=3)},
            ["no closed grip for Am7b5", "a stretch of 1", "no barre", "try"],
        ),
        (
            "[A]\n| C6 |",
            {"tuning": "c4 c4 c4", "max_stretch": 1},
            ["no closed grip for C6 on c4 c4 c4", "try a stretch"],
        ),
    ],
)
def test_a_chord_nobody_can_play_says_what_would_help(chart, choices, parts):
    with pytest.raises(GripError) as caught:
        voice(parse_chart(chart), **choices)
    for part in parts:
        assert part in str(caught.value)


def test_the_relaxation_offered_does_help():
    chart = parse_chart("[A]\n| C |")
    with pytest.raises(GripError, match=r"frets 1 to 5"):
        voice(chart, frets=(1, 2))
    assert voice(chart, frets=(1, 5)).slots[0].grip is not None


def test_a_misspelt_profile_is_answered_with_the_nearest() -> None:
    with pytest.raises(GripError, match="did you mean 'small'"):
        load_ease("smal")
