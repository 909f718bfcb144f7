"""Three strings of the grips a beginner learns next."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.model import Voicing
from porchswing.grips.vocabulary.few_strings import on_few_strings

SYMBOLS = (
    "C",
    "F",
    "G7",
    "Am",
    "Dm",
    "D7",
    "A7",
    "E7",
    "Gm",
    "Bb",
    "Bbm",
    "Cm",
    "B7",
    "F#m",
    "Cdim7",
)


def beginner(bars: str, tuning: str = "gCEA") -> Voicing:
    return voice(parse_chart(f"[A]\n| {bars} |\n"), tuning, "plain")


def test_the_first_chords_of_every_ukulele_book() -> None:
    """The open grips 0003, 2010, 0212 without string 4: two of them take one finger."""
    few = on_few_strings(beginner("C | F | G7 | C"))
    assert [str(slot.grip) for slot in few.slots] == ["x003", "x010", "x212", "x003"]


@given(
    st.lists(st.sampled_from(SYMBOLS), min_size=2, max_size=8), st.sampled_from(["gCEA", "DGBE"])
)
def test_three_neighbouring_strings_of_the_same_grips(symbols: list[str], tuning: str) -> None:
    whole = beginner(" | ".join(symbols), tuning)
    few = on_few_strings(whole)
    for slot, full in zip(few.slots, whole.slots, strict=True):
        assert slot.grip is not None
        assert full.grip is not None
        sounding = [index for index, fret in enumerate(slot.grip.frets) if fret is not None]
        assert len(sounding) == 3
        assert sounding[-1] - sounding[0] == 2
        for index in sounding:
            assert slot.grip.frets[index] == full.grip.frets[index]
            assert slot.grip.fingers[index] == full.grip.fingers[index]


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_the_third_and_the_seventh_sound(symbol: str) -> None:
    """music21 says which tones are the chord's third and seventh."""
    harmony = pytest.importorskip("music21.harmony")
    heard = harmony.ChordSymbol(symbol.replace("Bb", "B-").replace("dim7", "dim7"))
    (slot,) = on_few_strings(beginner(symbol)).slots
    assert slot.grip is not None
    sounding = {midi % 12 for midi in slot.grip.midi if midi is not None}
    for tone in filter(None, (heard.third, heard.seventh)):
        assert tone.pitchClass in sounding


def test_a_guitar_plays_three_of_its_six() -> None:
    for slot in on_few_strings(beginner("C | G7 | Am", "guitar")).slots:
        assert slot.grip is not None
        assert sum(fret is not None for fret in slot.grip.frets) == 3
