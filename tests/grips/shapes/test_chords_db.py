"""Our notes, grips and finger counts against an open data set of ukulele fingerings.

Source: the npm package @tombatossals/chords-db 0.5.1 (MIT), lib/ukulele.json: 12 keys, 46
suffixes, 2,114 positions on gCEA. It is fetched into .cache/chords-db, never committed.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.search.voice import voice
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


# Shapes above the nut whose printed finger numbers we do not draw, with the judgement:
# frets from the lowest, ours, theirs, positions, why
DISAGREEING = (
    ((0, 1, 1, 1), "1333", "1234", 55, "a ring-finger lay frees two fingers for the next shape"),
    ((1, 1, 0, 2), "2314", "2213", 26, "the middle finger would lie over the lower fret"),
    ((1, 1, 0, 3), "2314", "2214", 16, "the middle finger would lie over the lower fret"),
    ((0, 2, 2, 2), "1333", "1234", 16, "three fingertips crowd one fret; the ring finger lies"),
    ((1, 1, 2, 0), "2341", "2231", 11, "the middle finger would lie over two other strings"),
    ((0, 2, 3, 3), "1344", "1233", 11, "the little finger reaches the third fret, not the ring"),
    (
        (1, 0, 1, 0),
        "2131",
        "3142",
        10,
        "a barre leaves the hand where it is; the data has both",
    ),
    ((0, 3, 3, 3), "1444", "1234", 4, "one lay at a stretch"),
)
LEAST_AGREEMENT = 0.85


def test_finger_numbers_agree_with_printed_ones(positions):
    """Above the nut, 1,898 positions with finger numbers; the disagreeing classes are judged."""
    agreed, total = 0, 0
    differ: Counter[tuple[tuple[int, ...], str, str]] = Counter()
    for _, _, frets, position in positions:
        theirs = tuple(position["fingers"])
        if 0 in frets or not any(theirs):
            continue
        total += 1
        ours = fingering(frets).by_string(4)
        if ours == theirs:
            agreed += 1
            continue
        shape = tuple(fret - min(frets) for fret in frets)
        differ[shape, "".join(map(str, ours)), "".join(map(str, theirs))] += 1
    assert total == 1898
    assert agreed / total >= LEAST_AGREEMENT, (agreed, total)
    judged = {(shape, ours, theirs): count for shape, ours, theirs, count, _ in DISAGREEING}
    for key, count in judged.items():
        assert differ[key] == count, key
    minor = {key: count for key, count in differ.items() if key not in judged}
    assert all(
        count <= 11 or key[1] in printed_for(positions, key[0]) for key, count in minor.items()
    )


def printed_for(positions, shape):
    """The finger numbers the data prints for one shape."""
    return {
        "".join(map(str, position["fingers"]))
        for _, _, frets, position in positions
        if 0 not in frets and tuple(fret - min(frets) for fret in frets) == shape
    }


BEGINNERS = {
    "major": "", "minor": "m", "7": "7", "m7": "m7", "maj7": "maj7", "6": "6", "m6": "m6",
    "dim7": "dim7", "9": "9", "aug": "aug", "sus4": "sus4", "7sus4": "7sus4",
}  # fmt: skip


def test_the_first_open_position_is_the_one_we_choose(positions):
    """Twelve kinds in twelve keys, each alone in the plain lane.

    The others: fewer fingers at the cost of a fifth (Ab7 1023, F7 2310), or an easier barre
    (Bmaj7 3322).
    """
    first: dict[tuple[str, str], tuple[int, ...]] = {}
    first_open: dict[tuple[str, str], tuple[int, ...]] = {}
    for key, suffix, frets, _ in positions:
        if suffix in BEGINNERS:
            first.setdefault((key, suffix), frets)
            if 0 in frets:
                first_open.setdefault((key, suffix), frets)
    ours = {}
    for key, suffix in first:
        chart = parse_chart(f"[A]\n| {key}{BEGINNERS[suffix]} |")
        ours[key, suffix] = voice(chart, lane="plain").slots[0].grip.frets
    agreed = sum(ours[place] == frets for place, frets in first.items())
    open_agreed = sum(ours[place] == frets for place, frets in first_open.items())
    assert len(first) == 144
    assert open_agreed / len(first_open) >= 0.9, (open_agreed, len(first_open))
    assert agreed / 144 >= 0.9, agreed
