"""Short charts for tests of harmony, and lanes as one line of text."""

from __future__ import annotations

from collections.abc import Iterable

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Bar, Chart
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize


def short_chart(
    bars: str,
    *,
    key: str = "C",
    tempo: int = 120,
    meter: str = "4/4",
    melody: str = "",
    ending: str = "",
) -> Chart:
    """Return a chart of one section A, perhaps with a melody lane and an ending Z."""
    lines = [f"key: {key}", f"tempo: {tempo}", f"meter: {meter}"]
    lines += ["form: A", "ending: Z"] if ending else []
    lines += ["[A]", f"plain {bars}"]
    lines += [f"melody {melody}"] if melody else []
    lines += ["[Z]", f"plain {ending}"] if ending else []
    return parse_chart("\n".join(lines) + "\n")


def bar_text(bar: Bar) -> str:
    """Return a bar's symbols, with lengths in beats where they differ."""
    even = len({slot.beats for slot in bar.slots}) == 1
    words = [slot.chord.symbol if slot.chord else "N.C." for slot in bar.slots]
    if not even:
        words = [f"{word}:{slot.beats}" for word, slot in zip(words, bar.slots, strict=True)]
    return " ".join(words)


def lane_text(lead: Lead, section: str = "A") -> str:
    """Return a section's swing lane as one line."""
    return " | ".join(bar_text(bar) for bar in lead.chart.section(section).lane("swing"))


def swung(bars: str, use: Iterable[str] = (), depth: int = 0, **how: str | int) -> str:
    """Return the swing lane of a short chart as one line."""
    return lane_text(reharmonize(short_chart(bars, **how), depth, use=use))  # type: ignore[arg-type]
