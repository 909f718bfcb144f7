"""Cues for a video editor: WebVTT files of sections, chords, grips, and the captions of a lesson.

Format: WebVTT, W3C Candidate Recommendation (``WEBVTT``, cues of ``start --> end``). Times
are those of the performance, so they hold for the rendered audio to the millisecond.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.sung_text import sung_text
from porchswing.grips.drawings.spoken import spoken
from porchswing.grips.shapes.model import Voicing
from porchswing.performance.model import Mark, Performance
from porchswing.rhythm.tempo import TempoMap

KINDS = ("section", "chord", "grip")
"""The kinds of mark that make a cue file each."""

SENTENCE, WORDS = "sentence", "words"
"""The kinds of captions beyond them: every grip as a sentence, and the words that are sung."""


def cue_text(performance: Performance, kind: str) -> str:
    """Return the WebVTT text of all marks of one ``kind``, each shown until the next.

    A chord or a grip that is marked again while it lasts is one cue; a mark that would last no
    time is left out.
    """
    return marks_text(performance, [mark for mark in performance.marks if mark.kind == kind])


def marks_text(performance: Performance, cues: Sequence[Mark]) -> str:
    """Return the WebVTT text of some marks of a performance, each shown until the next."""
    marks = [  # those that say something new; a section that comes again is news
        mark
        for before, mark in zip([None, *cues], cues, strict=False)
        if before is None or mark.kind == "section" or mark.text != before.text
    ]
    ends = [mark.seconds for mark in marks[1:]] + [performance.end_s]
    shown = [
        (mark, end_s)
        for mark, end_s in zip(marks, ends, strict=True)
        if round(end_s * 1000) > round(mark.seconds * 1000)
    ]
    rows = ["WEBVTT", "", f"NOTE {_escape(performance.title)}", ""]
    for number, (mark, end_s) in enumerate(shown, 1):
        times = f"{_stamp(mark.seconds)} --> {_stamp(end_s)}"
        rows += [str(number), times, _escape(mark.text) or "-", ""]
    return "\n".join(rows)


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
    return tuple(
        Mark(
            start.tick + tempo.ticks(bar.start_beats),
            start.seconds + tempo.seconds(bar.start_beats) - tempo.seconds(0),
            WORDS,
            " / ".join(filter(None, map(sung_text, bar.words))),
        )
        for bar in roadmap.bars
    )


def _escape(text: str) -> str:
    """Return text that can neither open a tag nor end a cue.

    >>> _escape("A --> B <i>")
    'A --&gt; B &lt;i&gt;'
    """
    return escape(" ".join(text.split()), quote=False)


def _stamp(time_s: float) -> str:
    """Return seconds as ``hh:mm:ss.ttt``.

    >>> _stamp(3725.0304)
    '01:02:05.030'
    """
    total_ms = round(time_s * 1000)
    hours, rest = divmod(total_ms, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    return f"{hours:02}:{minutes:02}:{rest // 1000:02}.{rest % 1000:03}"
