"""Captions beyond the marks of a take: every grip as a sentence, and the words that are sung."""

from __future__ import annotations

from dataclasses import replace

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.sung_text import sung_text
from porchswing.grips.drawings.spoken import spoken
from porchswing.grips.shapes.model import Voicing
from porchswing.performance.model import Mark, Performance
from porchswing.rhythm.tempo import TempoMap

SENTENCE, WORDS = "sentence", "words"
"""The kinds of captions made here."""


def has_words(chart: Chart) -> bool:
    """Return whether any section of a chart is sung."""
    return any(section.words for section in chart.sections)


def sentence_marks(performance: Performance, voicing: Voicing) -> tuple[Mark, ...]:
    """Return a mark with a sentence for each mark of a grip; playing marks stay behind it."""
    said = {
        f"{slot.chord} {slot.grip}": f"{slot.chord}, {spoken(slot.grip)}"
        for slot in voicing.slots
        if slot.grip is not None
    }
    found = []
    for mark in performance.marks:
        if mark.kind == "grip":
            held, bracket, playing = mark.text.partition(" (")
            text = f"{said[held]}{f'; {playing[:-1]}' if bracket else ''}."
            found.append(replace(mark, kind=SENTENCE, text=text))
    return tuple(found)


def word_marks(performance: Performance, tempo: TempoMap, roadmap: Roadmap) -> tuple[Mark, ...]:
    """Return a mark for each bar with its words, verse by verse; empty where nothing is sung."""
    start = next(mark for mark in performance.marks if mark.kind == "key")
    found = []
    for bar in roadmap.bars:
        text = " / ".join(filter(None, map(sung_text, bar.words)))
        at_s = start.seconds + tempo.seconds(bar.start_beats) - tempo.seconds(0)
        found.append(Mark(start.tick + tempo.ticks(bar.start_beats), at_s, WORDS, text))
    return tuple(found)
