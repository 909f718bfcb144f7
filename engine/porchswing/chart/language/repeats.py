"""Repeats and endings: checking that they close, and the order they play bars in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from porchswing.chart.language.problems import TextError
from porchswing.chart.model import Bar


def check_repeats(bars: Sequence[Bar]) -> list[tuple[int, TextError]]:
    """Return every repeat that does not close and every ending out of place, by bar index."""
    troubles: list[tuple[int, TextError]] = []
    opened: int | None = None
    ending = 0
    for index, bar in enumerate(bars):
        if bar.repeat_start:
            if opened is not None:
                hint = "close the first with :| before this |:"
                troubles.append((index, TextError("a repeat opens inside another one", hint)))
            opened, ending = index, 0
        if bar.ending is not None:
            if trouble := _ending_trouble(bars, index, ending):
                troubles.append((index, trouble))
                opened = None
            ending = bar.ending
        if bar.repeat_times:
            opened = None
            follows = index + 1 < len(bars) and bars[index + 1].ending is not None
            ending = ending if follows else 0
    if opened is not None:
        troubles.append((opened, TextError("this repeat is never closed", "end it with :|")))
    return troubles


def _ending_trouble(bars: Sequence[Bar], index: int, before: int) -> TextError | None:
    """Return what is wrong with the ending that opens at a bar; ``before`` is the last one."""
    number = bars[index].ending
    if number != before + 1:
        return TextError(
            f"expected ending {before + 1}, got |{number}",
            "a number right after | opens an ending; put a space before a chord",
        )
    if bars[index].repeat_start:
        return TextError("a repeat needs a bar before its first ending")
    if number == 1 and not _closes(bars, index):
        return TextError(
            "the first ending is not closed", "end it with :| and open the second with |2"
        )
    if number > 2 and not bars[index - 1].repeat_times:
        return TextError(f"the ending before |{number} is not closed", "end it with :|")
    return None


def _closes(bars: Sequence[Bar], start: int) -> bool:
    """Whether the ending that opens at ``start`` meets a ``:|`` before another opens."""
    inside = takewhile(lambda bar: not _breaks(bar), bars[start + 1 :])
    return any(bar.repeat_times for bar in (bars[start], *inside))


def playing_order(bars: Sequence[Bar]) -> list[int]:
    """Return the indices of bars in the order repeats and endings play them.

    The last pass takes the last ending; the passes before it take the others in turn.
    """
    order: list[int] = []
    start = index = 0
    while index < len(bars):
        bar = bars[index]
        if bar.repeat_start:
            start = index
        if bar.ending == 1:
            index = _play_endings(bars, start, index, order)
            start = index
            continue
        order.append(index)
        if bar.repeat_times:
            for _ in range(bar.repeat_times - 1):
                order.extend(range(start, index + 1))
            start = index + 1
        index += 1
    return order


def _play_endings(bars: Sequence[Bar], start: int, first: int, order: list[int]) -> int:
    """Play a repeat with endings, its common bars played once already; return what follows."""
    endings: list[range] = []
    index = first
    while index < len(bars) and bars[index].ending == len(endings) + 1:
        end = index
        while end + 1 < len(bars) and not bars[end].repeat_times and not _breaks(bars[end + 1]):
            end += 1
        endings.append(range(index, end + 1))
        index = end + 1
        if not bars[end].repeat_times:
            break
    times = max(bars[endings[0][-1]].repeat_times, len(endings))
    for number in range(1, times + 1):
        if number > 1:
            order.extend(range(start, first))
        if number < times:
            order.extend(endings[min(number, max(1, len(endings) - 1)) - 1])
        elif len(endings) > 1:
            order.extend(endings[-1])
    return index


def _breaks(bar: Bar) -> bool:
    """Whether a bar opens something of its own."""
    return bar.repeat_start or bar.ending is not None


def with_repeats_of(bars: Sequence[Bar], model: Sequence[Bar]) -> tuple[Bar, ...] | None:
    """Return bars with the repeats of another lane, or ``None`` where they have others."""
    wanted = tuple(
        replace(
            bar,
            repeat_start=other.repeat_start,
            repeat_times=other.repeat_times,
            ending=other.ending,
        )
        for bar, other in zip(bars, model, strict=True)
    )
    has_own = any(bar.repeat_start or bar.repeat_times or bar.ending for bar in bars)
    return None if has_own and wanted != tuple(bars) else wanted
