"""From steps to the swaps a player reads: what stays, what moves, and where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache

from porchswing.harmony.choice.cells import Refused
from porchswing.harmony.choice.lead import Blocked, Swap
from porchswing.harmony.choice.scoring import guide_tones
from porchswing.harmony.passage.steps import PULSES, Passage
from porchswing.harmony.swaps.catalogue import row_named
from porchswing.theory.chords import Chord


def swaps_of(section: str, passage: Passage) -> Iterator[Swap]:
    """Yield the swaps of a passage in the order they are played."""
    deeds = dict.fromkeys(deed for step in passage.steps for deed in step.deeds)
    for deed in sorted(deeds, key=lambda one: one.start):
        first, last = passage.span_at(deed.start), passage.span_at(deed.stop - 1)
        row = row_named(deed.row)
        stays, moves = changed(deed.before, deed.after)
        yield Swap(
            name=row.name,
            reason=row.reason,
            section=section,
            bar=first.bar_index + 1,
            beat=Fraction(deed.start - first.start, PULSES) + 1,
            bars=last.bar_index - first.bar_index + 1,
            before=tuple(chord.symbol for chord in deed.before),
            after=tuple(chord.symbol for chord in deed.after),
            stays=stays,
            moves=moves,
            listen=row.listen,
        )


@lru_cache(maxsize=4096)
def changed(
    before: tuple[Chord, ...], after: tuple[Chord, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what stays and what moves: guide tones kept, and notes that give way to new ones.

    A move reads ``C>Db`` where a note gives way to one a step off, ``+D`` where a note is
    only added. Notes that stay keep the name they had.
    """
    old, new = _notes(before), _notes(after)
    guides = dict.fromkeys(tone for chord in before for tone in guide_tones(chord))
    stays = tuple(old[pc] for pc in guides if pc in new and pc in old)
    gone = [pc for pc in old if pc not in new]
    moves = []
    for pc in (pc for pc in new if pc not in old):
        near = min(gone, key=lambda one: (_apart(one, pc), gone.index(one)), default=None)
        if near is not None and _apart(near, pc) <= _STEP:
            gone.remove(near)
            moves.append(f"{old[near]}>{new[pc]}")
        else:
            moves.append(f"+{new[pc]}")
    return stays, tuple(moves)


_STEP = 2


def _apart(one: int, other: int) -> int:
    """Return the distance of two pitch classes in semitones, 0 to 6."""
    return min((one - other) % 12, (other - one) % 12)


def _notes(chords: Iterable[Chord]) -> dict[int, str]:
    found: dict[int, str] = {}
    for chord in chords:
        for note in chord.notes:
            found.setdefault(note.pc, str(note))
    return found


def blocked_of(section: str, passage: Passage, refused: Iterable[Refused]) -> Iterator[Blocked]:
    """Yield what the melody refused, in playing order."""
    for one in sorted(refused, key=lambda one: one.start):
        span = passage.span_at(one.start)
        yield Blocked(one.row, section, span.bar_index + 1, one.clash.reason)
