"""Two real lead sheets from music21's corpus, read where they are and never copied.

Both sound in F though their signature says C: music21 ``leadSheet/fosterBrownHair`` and
``leadSheet/berlinAlexandersRagtime``.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Bar, Chart, MelodyNote, Section, Slot
from porchswing.chart.unroll import unroll
from porchswing.harmony.analysis.roman import read_chart_roman
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.passage.flow import passage, read_flow
from porchswing.harmony.passage.melody_guard import clash
from porchswing.harmony.passage.steps import PULSES, Step
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName
from porchswing.theory.qualities import QUALITIES

PIECES = ("leadSheet/fosterBrownHair", "leadSheet/berlinAlexandersRagtime")
KINDS = {"major": "", "minor": "m", "dominant-seventh": "7"}


@pytest.fixture(scope="module", params=PIECES)
def sheet(request: pytest.FixtureRequest, need_module: Callable[[str], None]) -> Chart:
    need_module("music21")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from music21 import corpus, harmony

        part = corpus.parse(request.param).parts[0]
        symbols = list(part.flatten().getElementsByClass(harmony.ChordSymbol))
        notes = [n for n in part.flatten().notesAndRests if not isinstance(n, harmony.ChordSymbol)]
        end = Fraction(part.highestTime)
    return to_chart(symbols, notes, end)


def to_chart(symbols: list[Any], notes: list[Any], end: Fraction) -> Chart:
    """Make a chart of 4/4 bars from the first chord on, the melody with it."""
    first = Fraction(symbols[0].offset)
    starts = [Fraction(s.offset) for s in symbols] + [end]
    timed = [
        (start - first, stop - start, chord_of(symbol))
        for symbol, (start, stop) in zip(symbols, pairwise(starts), strict=True)
    ]
    tune = [
        (Fraction(n.offset) - first, Fraction(n.quarterLength), n.pitch.midi if n.isNote else None)
        for n in notes
        if n.offset >= first
    ]
    count = int((end - first) / 4)
    bars = tuple(
        Bar(tuple(Slot(c, b) for b, c in within(timed, 4 * index))) for index in range(count)
    )
    melody = tuple(
        tuple(MelodyNote(p, b) for b, p in within(tune, 4 * index)) for index in range(count)
    )
    # the header says C, as the files' signatures do
    return Chart("Sheet", Key.parse("C"), (Section("A", bars, melody=melody),), tempo_bpm=110.0)


def within(rows: list[tuple[Fraction, Fraction, Any]], start: int) -> list[tuple[Fraction, Any]]:
    """Return what sounds in one bar, cut at its lines."""
    cut = [(max(s, Fraction(start)), min(s + b, Fraction(start + 4)), x) for s, b, x in rows]
    return [(stop - begin, x) for begin, stop, x in cut if stop > begin]


def chord_of(symbol: Any) -> Chord:
    root = NoteName.parse(symbol.root().name.replace("-", "b"))
    return Chord(root, QUALITIES[KINDS[symbol.chordKind]])


def test_heard_in_f_whatever_the_header_says(sheet: Chart) -> None:
    read = read_chart_roman(sheet)
    assert {str(r.reading.key) for r in read if r.reading} == {"F"}
    assert read[0].reading is not None
    assert read[0].reading.numeral == "I"


@pytest.mark.parametrize("depth", range(5))
def test_reharmonised_without_breaking_a_rule(sheet: Chart, depth: int) -> None:
    lead = reharmonize(sheet, depth)
    plain, swing = sheet.section("A").plain, lead.chart.section("A").lane("swing")
    assert [bar.beats for bar in swing] == [bar.beats for bar in plain]
    if depth == 0:
        assert swing == plain
    else:
        assert lead.swaps
    assert parse_chart(write_chart(lead.chart)).section("A").swing == swing
    assert not clashes(sheet, replace(lead.chart.section("A"), plain=swing))
    assert all(
        not {"3", "11"} <= {str(d) for d in slot.chord.quality.degrees}
        for bar in swing
        for slot in bar.slots
        if slot.chord
    )


def clashes(sheet: Chart, swing: Section) -> list[str]:
    """Return melody clashes of the finished lane, counted anew with the strictest reading."""
    flow = read_flow(sheet, unroll(sheet, lane="plain", choruses=2))
    bars = range(len(swing.plain))
    view = passage(sheet, ("A",), bars, flow)
    found, pulse = [], 0
    for bar in swing.plain:
        for slot in bar.slots:
            length = int(slot.beats * PULSES)
            under = next(s for s in view.steps if s.start <= pulse < s.end)
            step = Step(slot.chord, pulse, length, sheet.key, plain=under.plain)
            clashing = clash(view, step)
            if clashing:
                found.append(clashing.reason)
            pulse += length
    return found
