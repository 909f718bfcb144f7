"""Every swap there is, by name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from porchswing.errors import OptionError, near_word
from porchswing.harmony.swaps.approaches import APPROACHES
from porchswing.harmony.swaps.asked_spans import ASKED_SPANS
from porchswing.harmony.swaps.colours import COLOURS
from porchswing.harmony.swaps.insertions import INSERTIONS
from porchswing.harmony.swaps.passing import PASSING
from porchswing.harmony.swaps.rarer_spans import RARER_SPANS
from porchswing.harmony.swaps.spans import SPANS
from porchswing.harmony.swaps.substitutions import ENDING_TAG, SUBSTITUTIONS
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.harmony.swaps.turnarounds import TURNAROUNDS

SWAPS: tuple[SwapRow, ...] = (
    *COLOURS,
    *INSERTIONS,
    *PASSING,
    *SUBSTITUTIONS,
    *SPANS,
    *RARER_SPANS,
    *TURNAROUNDS,
    *ENDING_TAG,
    *ASKED_SPANS,
    *APPROACHES,
)
"""The rows in the order ties are settled: the plainer swap first."""

GROUPS = frozenset(row.group for row in SWAPS if row.group)
"""The groups of swaps that styles speak of."""

_GROUP_OF = {row.name: row.group for row in SWAPS}

OWN = SwapRow(
    name="your own",
    depth=0,
    when="none: it was written by hand",
    effect="whatever was written",
    reason="No swap of the catalogue makes this change: you wrote it, so you know why.",
    listen="where it leaves the plain chords and how it comes back to them",
    melody="",
    offers=lambda passage, index: iter(()),
    preference=0.0,
)
"""What a change written by hand is called where no swap explains it; nothing chooses it."""

WANTED = 1.0
"""Points added to a swap that was asked for by name."""

_FOLD = str.maketrans({"♯": "#", "♭": "b", "°": "", "-": " ", "–": " "})


def find_swap(name: str) -> SwapRow:
    """Return the row of a name, however its case, signs and hyphens are written.

    Raises
    ------
    OptionError
        Where no swap has that name; the message suggests the nearest.

    >>> find_swap("Tonic-Sixth").name
    'tonic sixth'
    """
    rows = _by_name()
    found = rows.get(_folded(name))
    if found is None:
        near = _nearest(_folded(name), list(rows))
        hint = f"did you mean {rows[near].name!r}?" if near else "see: porchswing list swaps"
        raise OptionError(f"unknown swap {name!r}; {hint}")
    return found


def _nearest(word: str, names: list[str]) -> str:
    """Return the name meant by its beginning, be it misspelt, or by the whole; empty where none.

    Few type more than a name's first words: ``trytone`` begins like a tritone substitution.
    """
    count = len(word.split())
    begun: dict[str, str] = {}
    for name in names:
        begun.setdefault(" ".join(name.split()[:count]), name)
        if word and name.startswith(word):
            return name
    if near := near_word(word, begun, cutoff=0.75):
        return begun[near]
    return near_word(word, names, cutoff=0.4)


def rows_for(
    depth: int, use: Iterable[str] = (), avoid: Iterable[str] = (), *, asked: bool = False
) -> tuple[SwapRow, ...]:
    """Return the rows of a depth, with some added and some taken away, in catalogue order.

    ``asked`` adds those that are for one place alone.
    """
    wanted = {find_swap(name).name for name in use}
    unwanted = {find_swap(name).name for name in avoid}
    both = wanted & unwanted
    if both:
        raise OptionError(f"{', '.join(sorted(both))}: named by both --swap and --no-swap")
    return tuple(
        replace(row, preference=row.preference + WANTED, rare=False) if row.name in wanted else row
        for row in SWAPS
        if row.name not in unwanted
        if row.name in wanted or (row.depth <= depth and (asked or not row.asked))
    )


def row_named(name: str) -> SwapRow:
    """Return the row of a swap in a lane, one of the writer's own too."""
    return OWN if name == OWN.name else find_swap(name)


def group_of(name: str) -> str:
    """Return the group of a swap, an empty text where it is in none.

    >>> group_of("♯IV° to I")
    'diminished'
    """
    return _GROUP_OF.get(name, "")


@cache
def _by_name() -> dict[str, SwapRow]:
    return {_folded(row.name): row for row in SWAPS}


def _folded(name: str) -> str:
    return " ".join(name.translate(_FOLD).lower().split())
