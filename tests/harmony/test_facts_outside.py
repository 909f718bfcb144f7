"""Facts not of our making: arithmetic of pitch classes, and rules and tables of textbooks.

- Robert Hutchinson, "Music Theory for the 21st-Century Classroom", University of Puget Sound
  (open, GNU FDL): guide tones and what a voicing may leave out stand in section 31.7. Its rules
  are quoted from memory, not its words: third and seventh define a chord and stay; the perfect
  fifth may go first, the root where a bass plays it.
- Mark Watkins, "Fundamentals of Jazz Improvisation", Brigham Young University-Idaho 2010,
  "Substitutions and Turnarounds": the opening of its tritone section was read.
- Dariusz Terefenko, "Jazz Theory: From Basic to Advanced Study", Routledge 2014, figures 13.5
  (I-vi-ii-V and its substitutes) and 19.4 (a bridge of dominants): read in published excerpts.
"""

from __future__ import annotations

from itertools import product

import pytest

from porchswing.chart.unroll import unroll
from porchswing.harmony.analysis.roman import read_chord
from porchswing.harmony.choice.fit_sections import find_stretches
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.scoring import guide_tones
from porchswing.harmony.passage.flow import read_flow
from porchswing.harmony.swaps.catalogue import SWAPS, find_swap
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import LETTERS, NoteName
from porchswing.theory.qualities import QUALITIES
from porchswing.theory.symbols import parse_chord
from support.lanes import short_chart, swung

ROOTS = [NoteName(letter, alter) for letter, alter in product(LETTERS, (-1, 0, 1))]


def pcs(root: int, *intervals: int) -> set[int]:
    return {(root + interval) % 12 for interval in intervals}


@pytest.mark.parametrize("root", range(12))
def test_tritone_pairs_exchange_third_and_seventh(root: int) -> None:
    """Arithmetic: 4 and 10 above a root are 10 and 4 above the root six semitones off."""
    assert pcs(root, 4, 10) == pcs(root + 6, 10, 4)


@pytest.mark.parametrize("root", ROOTS, ids=str)
def test_our_tritone_pairs(root: NoteName) -> None:
    seventh = Chord(root, QUALITIES["7"])
    other = next(r for r in ROOTS if (r.pc - root.pc) % 12 == 6)
    assert set(guide_tones(seventh)) == set(guide_tones(Chord(other, QUALITIES["7"])))


@pytest.mark.parametrize("root", ROOTS, ids=str)
def test_rootless_flat_nine_is_a_diminished_seventh(root: NoteName) -> None:
    """Arithmetic: 4 7 10 13 above a root are four minor thirds; so are they from each other."""
    flat_nine = Chord(root, QUALITIES["7b9"]).pcs - {root.pc}
    assert flat_nine == pcs(root.pc, 4, 7, 10, 13)
    for third in flat_nine:
        name = next(r for r in ROOTS if r.pc == third)
        assert Chord(name, QUALITIES["dim7"]).pcs == flat_nine


@pytest.mark.parametrize("root", ROOTS, ids=str)
def test_sixth_chords_are_seventh_chords(root: NoteName) -> None:
    """Arithmetic: C6 is Am7, Cm6 is Am7b5."""
    sixth = next(r for r in ROOTS if (r.pc - root.pc) % 12 == 9)
    assert Chord(root, QUALITIES["6"]).pcs == Chord(sixth, QUALITIES["m7"]).pcs
    assert Chord(root, QUALITIES["m6"]).pcs == Chord(sixth, QUALITIES["m7b5"]).pcs


def test_guide_tones_are_third_and_seventh() -> None:
    """Section 31.7, from memory: third and seventh; a sixth chord has its sixth instead."""
    table = {
        "7": (4, 10), "maj7": (4, 11), "m7": (3, 10), "m7b5": (3, 10), "dim7": (3, 9),
        "mMaj7": (3, 11), "6": (4, 9), "m6": (3, 9), "9": (4, 10), "13": (4, 10), "7b9": (4, 10),
    }  # fmt: skip
    for suffix, wanted in table.items():
        assert guide_tones(Chord(NoteName("C"), QUALITIES[suffix])) == wanted


def test_a_tritone_substitute_stands_for_an_active_dominant() -> None:
    """Watkins: Cm7 F7 Bb becomes Cm7 B7 Bb, a dominant that leads somewhere."""
    assert swung("| Cm7 F7 | Bb |", ["tritone substitution"], key="Bb") == "Cm7 B7 | Bb"
    assert swung("| Cm7 F7 | Gm |", ["tritone substitution"], key="Bb") == "Cm7 F7 | Gm"


def test_one_six_two_five_and_its_substitutes() -> None:
    """Terefenko, figure 13.5, in C: VI7 = V7/ii = A7, II7 = V7/V = D7; Eb7 for A7, Db7 for G7."""
    bars = "| C | Am | Dm | G7 | C |"
    dominants = swung(bars, ["turnaround I VI II V dominants"])
    assert dominants == "C | A7 | D7 | G7 | C"
    key, after = Key.parse("C"), {"A7": "Dm7", "D7": "G7"}
    read = {
        name: read_chord(parse_chord(name), key, parse_chord(goal)).numeral
        for name, goal in after.items()
    }
    assert read == {"A7": "V7/ii", "D7": "V7/V"}
    assert swung("| A7 | Dm7 |", ["tritone substitution"]) in ("Eb7 | Dm7", "A7 Eb7 | Dm7")
    assert swung("| G7 | C |", ["tritone substitution"]) in ("Db7 | C", "G7 Db7 | C")


def test_a_bridge_of_dominants_takes_iis_and_tritones() -> None:
    """Terefenko, figure 19.4: each two-bar dominant may become ii7 V7, or end on its tritone."""
    bars = "| D7 | % | G7 | % | C7 | % | F7 | % | Bb |"
    assert swung(bars, ["related ii"], key="Bb", ending="| Bb |") == (
        "Am7 | D7 | Dm7 | G7 | Gm7 | C7 | Cm7 | F7 | Bb"
    )
    assert swung(bars, ["tritone substitution"], key="Bb", ending="| Bb |") == (
        "D7 | Ab7 | G7 | Db7 | C7 | Gb7 | F7 | B7 | Bb"
    )


@pytest.mark.parametrize("row", [row for row in SWAPS if row.colour], ids=lambda row: row.name)
def test_colours_keep_the_guide_tones(row: object) -> None:
    """Section 31.7, from memory: what defines the chord stays, whatever colour is added."""
    name = row.name  # type: ignore[attr-defined]
    tune = short_chart(
        "| C | Dm | G | C | F | Dm7 | G7 | C | E7 | A7 | Dm | Bdim | C | Am | G7 | C |",
        ending="| C |",
    )
    minor = short_chart("| Am | E7 | Am | Dm | E7 | Am |", key="A minor", ending="| Am |")
    seen = 0
    sung = short_chart("| C | A7 | Dm | G7 |", melody="| B4:4 | Bb4:4 | E5:4 | E5:4 |")
    for chart in (tune, minor, sung):
        for swap in reharmonize(chart, 0, use=[name]).swaps:
            before, after = parse_chord(swap.before[0]), parse_chord(swap.after[0])
            assert set(guide_tones(before)) <= after.pcs
            assert before.root == after.root
            seen += 1
    assert seen


def test_no_offer_has_more_than_five_tones_once_root_and_fifth_may_go() -> None:
    """Four strings: what is left without root and perfect fifth is at most four notes."""
    for name, alteration in (("13", 5), ("9", 5), ("7b9", 5), ("6/9", 5), ("m6/9", 5), ("m9", 5)):
        degrees = [d for d in QUALITIES[name].degrees if str(d) not in ("1", "5")]
        assert len(degrees) <= 4
        assert len(QUALITIES[name].degrees) <= alteration + 1


def test_every_offer_fills_its_time_and_needs_what_it_says() -> None:
    """The rows as pure functions: no offer changes the length of what it replaces."""
    chart = short_chart("| C | Am | Dm | G7 | C C7 | F Fm | Em7 | Dm G7 | C | % |", ending="| C |")
    flow = read_flow(chart, unroll(chart, lane="plain", choruses=2))
    part = find_stretches(chart, flow, lambda name: (4, SWAPS), ())[0].passage
    offers = 0
    for index in range(len(part.steps)):
        for row in SWAPS:
            for offer in row.offers(part, index):
                old = part.steps[offer.start : offer.stop]
                assert sum(s.pulses for s in offer.steps) == sum(s.pulses for s in old)
                assert all(s.pulses % part.grid_pulses == 0 for s in offer.steps)
                assert find_swap(offer.row) is row
                offers += 1
    assert offers > 30
