"""Our notes, grips and finger counts against an open data set of ukulele fingerings.

Source: the npm package @tombatossals/chords-db 0.5.1 (MIT), lib/ukulele.json: 12 keys, 46
suffixes, 2,114 positions on gCEA. It is fetched into .cache/chords-db, never committed.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import pytest

from porchswing.grips.shapes.enumerate import enumerate_grips
from porchswing.grips.shapes.fingers import fingering
from porchswing.grips.shapes.hand import CLOSED_HAND
from porchswing.grips.shapes.model import Grip
from porchswing.grips.shapes.tunings import tuning
from porchswing.theory.symbols import parse_chord

UKE = tuning("gCEA")
HAND = replace(CLOSED_HAND, max_fret=15, max_stretch=3)

# their suffix, ours: the rooted and common kinds (their elevenths sound the third with the
# eleventh, which we bar; their altered chords are fifths altered without a seventh)
SUFFIXES = {
    "major": "", "minor": "m", "dim": "dim", "dim7": "dim7", "sus2": "sus2", "sus4": "sus4",
    "7sus4": "7sus4", "aug": "aug", "6": "6", "69": "6/9", "7": "7", "7b5": "7b5", "aug7": "7#5",
    "9": "9", "9b5": "9b5", "aug9": "9#5", "7b9": "7b9", "7b9#5": "7#5b9", "7#9": "7#9",
    "13": "13", "maj7": "maj7", "maj7b5": "maj7b5", "maj7#5": "maj7#5", "maj9": "maj9",
    "maj13": "maj13", "m6": "m6", "m7": "m7", "m7b5": "m7b5", "m9": "m9", "m69": "m6/9",
    "m9b5": "m9b5", "m11": "m11", "mmaj7": "mMaj7", "mmaj9": "mMaj9", "add9": "add9",
    "madd9": "madd9",
}  # fmt: skip

# the four positions with foreign notes: the data set's own slips
SLIPS = {("B", "madd9"): 3, ("F", "11"): 1}


@pytest.fixture
def positions(root, need_file):
    path = need_file(
        root / ".cache" / "chords-db" / "lib" / "ukulele.json",
        "npm pack @tombatossals/chords-db@0.5.1 and unpack it into .cache/chords-db",
    )
    data = json.loads(path.read_text(encoding="utf-8"))
    found = []
    for key, chords in data["chords"].items():
        for chord in chords:
            for position in chord["positions"]:
                base = position["baseFret"] - 1
                frets = tuple(fret + base if fret > 0 else fret for fret in position["frets"])
                found.append((key, chord["suffix"], frets, position))
    return found


def test_all_positions_sound_the_same_notes(positions):
    assert len(positions) == 2114
    for _, _, frets, position in positions:
        assert list(Grip(frets, UKE).midi) == position["midi"]


def test_guitar_positions_sound_the_same_notes(root, need_file):
    """The data set's guitar (EADGBE, muted strings written −1) as well."""
    folder = root / ".cache" / "chords-db" / "lib"
    path = need_file(folder / "guitar.json", "it comes with the ukulele's data")
    guitar, checked = tuning("guitar"), 0
    for chords in json.loads(path.read_text(encoding="utf-8"))["chords"].values():
        for chord in chords:
            for position in chord["positions"]:
                base = position["baseFret"] - 1
                frets = tuple(
                    None if fret < 0 else fret + base * (fret > 0) for fret in position["frets"]
                )
                sounding = [note for note in Grip(frets, guitar).midi if note is not None]
                assert sounding == position["midi"], (chord["key"], chord["suffix"], frets)
                checked += 1
    assert checked > 2000


def test_every_position_of_the_common_suffixes_is_found(positions):
    missing: Counter[tuple[str, str]] = Counter()
    checked = 0
    for key, suffix, frets, _ in positions:
        if suffix not in SUFFIXES:
            continue
        checked += 1
        chord = parse_chord(f"{key}{SUFFIXES[suffix]}")
        grips = {grip.frets for grip in enumerate_grips(chord, UKE, HAND, kind="any")}
        if frets not in grips:
            missing[key, suffix] += 1
    assert checked > 1600
    assert missing == {slip: count for slip, count in SLIPS.items() if slip[1] in SUFFIXES}


def test_the_slips_sound_foreign_notes(positions):
    foreign: Counter[tuple[str, str]] = Counter()
    for key, suffix, frets, _ in positions:
        if (key, suffix) in SLIPS:
            chord = parse_chord(f"{key}{suffix}")
            if not {note % 12 for note in Grip(frets, UKE).midi} <= chord.pcs:
                foreign[key, suffix] += 1
    assert foreign == SLIPS


def test_our_least_fingers_are_never_more(positions):
    for _, _, frets, position in positions:
        theirs = len({finger for finger in position["fingers"] if finger})
        ours = fingering(frets)
        if theirs:  # some positions name no fingers
            assert ours is not None, frets
            assert ours.fingers <= theirs, (frets, position["fingers"])
