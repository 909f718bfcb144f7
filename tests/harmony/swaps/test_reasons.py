"""Every sentence that names a motion is checked against the pitches it speaks of.

A motion is written as ``place degree > place degree semitones``: the note that is that degree
of the chord at one place (counted from 0 in the swap's own chords, the chord that follows
them last) moves so many semitones to that degree of the chord at another place. ``bass`` is the
bass note. The words are common practice; the pitches are arithmetic.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import unroll
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.swaps.catalogue import SWAPS, find_swap
from porchswing.theory.chords import Chord
from porchswing.theory.notes import Degree
from porchswing.theory.symbols import parse_chord
from support.lanes import short_chart
from support.swap_cases import CASES

MOTIONS: dict[str, str] = {
    "six-nine": "0 3 > 0 6 5, 0 6 > 0 9 5",
    "tonic sixth": "0 6 > 0 1 3",
    "tonic major seventh": "0 7 > 0 1 1",
    "minor sixth": "0 b3 > 0 6 6",
    "minor seventh": "0 b7 > 1 3 -1",
    "minor ninth": "0 9 > 1 13 0, 0 9 > 1 5 -2",
    "dominant thirteenth": "0 13 > 1 3 0",
    "thirteenth in a chain": "0 13 > 1 9 -2",
    "dominant flat nine into minor": "0 b9 > 1 5 -1",
    "V7♯5": "0 #5 > 1 3 1",
    "V7♯5 into minor": "0 #5 > 1 b3 0",
    "related ii": "0 b7 > 1 3 -1",
    "secondary dominant": "1 3 > 2 1 1",
    "ii–V into the next chord": "1 b7 > 2 3 -1, 2 3 > 3 1 1",
    "ii–V into another key": "1 b7 > 2 3 -1, 2 3 > 3 1 1",
    "I7 into IV": "1 3 > 2 1 1",
    "quick change": "0 3 > 1 b7 -1, 1 b7 > 2 3 1",
    "passing diminished up": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "♯IV° to I": "0 bass > 1 bass 1, 1 1 > 2 5 1, 1 b5 > 2 1 0, 1 bb7 > 2 3 1, 1 b3 > 2 5 -2",
    "passing diminished down": (
        "0 1 > 1 1 -1, 1 1 > 2 1 -1, 0 b3 > 1 b3 -1, 1 b3 > 2 b3 -1, 1 b5 > 2 5 0, 1 bb7 > 2 b7 0"
    ),
    "minor iv": "0 3 > 1 b3 -1, 1 b3 > 2 5 -1",
    "minor line cliché": "0 1 > 1 7 -1, 1 7 > 2 b7 -1, 2 b7 > 3 6 -1",
    "major line cliché": "0 7 > 1 6 -2",
    "side-slip": "1 1 > 2 1 -1, 1 3 > 2 3 -1, 1 5 > 2 5 -1, 1 b7 > 2 b7 -1",
    "extended dominant chain": "0 3 > 1 b7 -1",
    "backdoor ♭VII7": "0 b7 > 1 5 -1, 0 bass > 1 bass 2",
    "tritone substitution": "0 bass > 1 bass -1",
    "rootless 7♭9 as diminished": "1 bass > 2 bass 1",
    "v7 I7 into IV": "1 b7 > 2 3 -1, 2 3 > 3 1 1",
    "dominant for a minor chord": "0 3 > 1 1 1",
    "I ♭III° ii": "1 bass > 2 1 -1",
    "I I° ii": "0 1 > 1 1 0, 0 3 > 1 b3 -1, 1 b3 > 2 1 -1",
    "I I° I": "0 3 > 1 b3 -1, 0 5 > 1 b5 -1, 0 1 > 1 1 0, 1 b3 > 2 3 1, 1 b5 > 2 5 1",
    "climb to the cadence": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "I/5 before V": "0 bass > 1 bass 0, 0 3 > 1 5 -2, 0 1 > 1 3 -1",
    "ii–V for V–IV": "2 b7 > 3 3 -1",
    "♭VI7 before V7": "0 1 > 1 1 -1, 0 5 > 1 5 -1",
    "♭VI7 V7 in minor": "1 1 > 2 1 -1, 1 3 > 2 3 -1, 1 5 > 2 5 -1, 1 b7 > 2 b7 -1",
    "backdoor iv7 ♭VII7": "2 b7 > 3 5 -1",
    "iii VI7 into ii": "1 b7 > 2 3 -1, 2 b7 > 3 b3 -2",
    "iii ♭iii ii": "1 1 > 2 1 -1, 1 b3 > 2 b3 -1, 1 5 > 2 5 -1, 1 b7 > 2 b7 -1, 2 1 > 3 1 -1",
    "I Imaj7 I7 into IV": "0 1 > 1 7 -1, 1 7 > 2 b7 -1, 2 b7 > 3 3 -1",
    "5–♯5–6 line": "0 5 > 1 #5 1, 1 #5 > 2 6 1",
    "I/3 into IV": "0 bass > 1 bass 4, 1 bass > 2 bass 1",
    "bass walk-down to vi": "0 bass > 1 bass -1, 1 bass > 2 bass -2",
    "ii over the dominant's bass": "0 bass > 1 bass 0, 0 b7 > 1 3 -1",
    "V sus before V": "0 4 > 1 3 -1",
    "tonic pedal": "0 bass > 1 bass 0, 1 bass > 2 bass 0",
    "V of V before V": "0 3 > 1 1 1",
    "borrowed iiø": "0 b5 > 1 b9 0",
    "minor descent to V": "0 bass > 1 bass -2, 1 bass > 2 bass -2, 2 bass > 3 bass -1",
    "♯IV° to I/5": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "amen ending": "1 3 > 2 b3 -1, 2 b3 > 3 5 -1",
    "chromatic ii–V from above": "1 1 > 3 1 -1, 1 b3 > 3 b3 -1, 1 5 > 3 5 -1",
    "minor turns dominant": "0 b3 > 1 3 1, 1 3 > 2 1 1",
    "v7 for I before I7 into IV": "0 b7 > 1 3 -1, 1 3 > 2 1 1",
    "I IV7 iii VI7 into ii": "1 bass > 2 bass -1, 2 b7 > 3 3 -1",
    "dominants down to VI": (
        "0 1 > 1 1 -1, 0 3 > 1 3 -1, 1 b7 > 2 b7 -1, 2 5 > 3 5 -1, 2 1 > 3 1 -1"
    ),
    "VII7 into I": "0 3 > 1 b7 0, 0 b7 > 1 3 0, 1 1 > 2 1 1, 1 3 > 2 3 1, 1 5 > 2 5 1",
    "♯iv7 VII7 into I": "0 bass > 1 bass 1, 1 bass > 2 bass 5, 2 bass > 3 bass 1",
    "iii for I": "0 bass > 1 bass 5",
    "IV for ii": "0 bass > 1 bass 2",
    "iii VI7 ii V over V": "0 b7 > 1 3 -1, 2 b7 > 3 3 -1, 3 b7 > 4 3 -1",
    "dominants down to I over V": "0 bass > 1 bass -1, 1 bass > 2 bass -1, 3 bass > 4 bass -1",
    "chromatic ii–V over V": "0 1 > 2 1 -1, 0 b3 > 2 b3 -1, 1 1 > 3 1 -1, 1 3 > 3 3 -1",
    "♯II° for V": "0 bass > 1 bass 1, 1 bass > 2 3 1",
    "♭VII7 for IV": "0 b7 > 1 5 -1",
    "♭VI ♭VII7 I": "0 bass > 1 bass 2, 1 bass > 2 bass 2",
    "♭IImaj7 for V": "0 1 > 1 1 -1, 0 3 > 1 3 -1, 0 5 > 1 5 -1",
    "a dominant's own V": "0 3 > 1 1 1",
    "ii of a substitute": "0 bass > 1 bass -7",
    "V7♭9 into major": "0 b9 > 1 5 -1",
    "♯V° for V": "0 b3 > 1 1 1, 0 bb7 > 1 3 -1",
    "viiø for V": "0 bass > 1 bass 1",
    "VI7 or III7 before IV": "0 3 > 1 5 -1",
    "diatonic passing chord": "0 bass > 1 bass 2, 1 bass > 2 bass 2",
    "diminished into the next chord": "1 bass > 2 bass 1",
    "minor iv for ii": "1 b3 > 2 1 -1",
    "V7 before I": "1 3 > 2 1 1",
    "I IV I": "0 3 > 1 1 1, 0 5 > 1 3 2, 1 1 > 2 3 -1, 1 3 > 2 5 -2",
    "III° into IV": "1 bass > 2 bass 1",
    "VII7 or ♭VII7 on the way to ii": "1 b7 > 2 b3 -2, 2 b7 > 3 3 -1",
    "♭III7 into ii": "1 bass > 2 bass -1",
    "ii ♭II7 for V": "0 bass > 1 bass -1, 1 bass > 2 bass -1",
    "ii–Vs down to ii": "0 1 > 2 1 -1, 0 b3 > 2 b3 -1, 1 1 > 3 1 -1, 1 3 > 3 3 -1",
    "chain of ii–Vs into IV": "1 b7 > 2 3 -1, 3 b7 > 4 3 -1, 5 b7 > 6 3 -1",
    "walk up to I/3": "0 bass > 1 bass 2, 1 bass > 2 bass 1, 2 bass > 3 bass 1",
    "climb to I/5 and VI7": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "turnaround ♭III ♭VI ♭II in major sevenths": (
        "3 1 > 4 1 -1, 3 3 > 4 3 -1, 3 5 > 4 5 -1"
    ),
    "secondary dominant in a bar of its own": "1 3 > 2 1 1",
    "minor iv in a bar of its own": "0 3 > 1 b3 -1, 1 b3 > 2 5 -1",
    "iiø–V for iv": "0 b7 > 1 3 -1",
    "out to ii–V and back": "1 bass > 2 bass 5, 2 bass > 3 bass 5",
    "II7 for IV": "0 1 > 1 3 1, 1 3 > 2 1 1",
    "each dominant with its own ii": "0 b7 > 1 3 -1, 2 b7 > 3 3 -1",
    "ii–V again a semitone lower": "0 1 > 2 1 -1, 1 1 > 3 1 -1, 2 1 > 4 1 -1",
    "V grows an alteration": "1 b9 > 2 5 -1",
    "line over a minor chord": "0 1 > 1 7 -1, 1 7 > 2 b7 -1, 2 b7 > 3 3 -1",
    "down to ii by way of iii": "1 bass > 2 bass -1, 2 bass > 3 bass -1",
    "dominants a semitone above the dominant": "1 1 > 2 1 -1, 1 3 > 2 3 -1",
    "back door from IV": "1 b7 > 2 5 -1",
    "turnaround I7 ♯I° ii V7": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "turnaround I V7": "1 3 > 2 1 1",
    "turnaround I ii V7": "1 b7 > 2 3 -1",
    "turnaround I VI7 ii V7": "1 b7 > 2 b3 -2, 2 b7 > 3 3 -1, 3 b7 > 4 3 -1",
    "turnaround I ♯I° ii V7": "0 bass > 1 bass 1, 1 bass > 2 bass 1",
    "turnaround I ♯I° ii ♯II°": (
        "0 bass > 1 bass 1, 1 bass > 2 bass 1, 2 bass > 3 bass 1, 3 1 > 4 3 1"
    ),
    "turnaround I VI II V dominants": "1 3 > 2 b7 -1, 1 b7 > 2 3 -1, 2 3 > 3 b7 -1, 2 b7 > 3 3 -1",
    "turnaround I vi ♭VI7 V7": "1 bass > 2 bass -1, 2 bass > 3 bass -1",
    "turnaround i ♭VI iiø V7": "0 b3 > 1 5 0",
    "turnaround I IV I V": "0 3 > 1 b7 -1, 1 b7 > 2 3 1",
    "turnaround III VI II V": "1 3 > 2 b7 -1, 2 b7 > 3 3 -1, 3 3 > 4 b7 -1",
    "turnaround ♭III ♭VI ♭II": "3 bass > 4 bass -1",
    "dominant of any chord": "1 3 > 2 1 1",
    "tritone dominant of any chord": "0 bass > 1 bass -1",
    "diminished beside any chord": "1 bass > 2 bass 1",
    "slid in from a semitone": "0 1 > 1 1 -1, 0 3 > 1 3 -1, 0 5 > 1 5 -1",
    "back door of any major chord": "1 b3 > 2 5 -1",
    "late by its own way in": "0 b3 > 1 3 1, 0 b5 > 1 5 1",
    "in a dominant's place": "0 3 > 1 3 1",
    "two bars of fifths into any chord": "0 bass > 1 bass -1, 2 bass > 3 bass -1",
    "turnaround from further away": "1 bass > 2 bass -1, 2 bass > 3 bass -1, 3 bass > 4 bass -1",
    "up the scale and back": "0 bass > 1 bass 2, 1 bass > 2 bass 2",
    "ending tag": "2 bass > 3 bass 1, 3 bass > 4 bass 1",
}  # fmt: skip
MOVING = re.compile(
    r"semitone|whole tone|by step|falls|falling|climb|slid|staying|stays|leading up"
)
UNMOVED = {
    "dominant ninth", "minor six-nine", "dominant seventh", "diatonic substitution",
    "full diminished seventh", "deceptive iii", "colour of the tune", "home at the end",
    "ii–V a tritone away", "borrowed from the other mode", "another quality",
}  # fmt: skip
"""Rows whose words speak of what is, not of a motion; ii–V a tritone away is checked below."""


def pitch(chord: Chord, degree: str) -> int:
    if degree == "bass":
        return chord.bass_note.pc
    return (chord.root.pc + Degree.parse(degree).semitones) % 12


@pytest.mark.parametrize("name", MOTIONS)
def test_what_a_sentence_says_the_notes_do(name: str) -> None:
    case = CASES[name]
    chart = short_chart(case.bars, key=case.key, ending=case.ending, melody=case.tune)
    for pc in range(12):
        key = replace(chart.key, tonic=chart.key.spell(chart.key.tonic.pc + pc)).simple
        lead = reharmonize(transpose(chart, key), 0, use=[name])
        swap = next(swap for swap in lead.swaps if swap.name == name)
        played = [
            (bar.section, bar.bar, slot.chord)
            for bar in unroll(lead.chart, "swing", choruses=2).bars
            for slot in bar.slots
        ]
        new = [parse_chord(symbol) for symbol in swap.after]
        end = next(
            n
            for n in range(len(played))
            if played[n][:2] == (swap.section, swap.bar) and played[n][2] == new[0]
        )
        for chord in new:
            while end < len(played) and played[end][2] == chord:
                end += 1
        after = played[end][2] if end < len(played) else None
        chords = [*new, *([after] if after else [])]
        for motion in MOTIONS[name].split(", "):
            one, degree, _, other, goal, semitones = motion.split()
            moved = pitch(chords[int(other)], goal) - pitch(chords[int(one)], degree)
            assert moved % 12 == int(semitones) % 12, (motion, [str(c) for c in chords])


def test_the_tritone_ii_v_keeps_the_guide_tones_of_five() -> None:
    for pc in range(12):
        kept = {(pc + 7 + 4) % 12, (pc + 7 + 10) % 12}
        flat_two = {(pc + 1 + 4) % 12, (pc + 1 + 10) % 12}
        assert kept == flat_two


def test_every_sentence_about_a_motion_is_checked() -> None:
    unchecked = [
        row.name
        for row in SWAPS
        if MOVING.search(f"{row.reason} {row.listen}") and row.name not in {*MOTIONS, *UNMOVED}
    ]
    assert unchecked == []
    assert all(find_swap(name).name == name for name in {*MOTIONS, *UNMOVED})
