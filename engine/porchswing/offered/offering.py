"""The offers for one place of a chart: swaps, grips or marks, the likeliest first."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from porchswing.chart.model import Chart, Frets, Slot
from porchswing.errors import check_one_of, check_types
from porchswing.grips.drawings.grip_alternatives import (
    GripAlternative,
    grip_alternatives,
)
from porchswing.harmony.choice.scoring import guide_tones
from porchswing.harmony.places.swap_offer import SwapOffer
from porchswing.harmony.places.swap_offers import swap_offers
from porchswing.offered.choosing import (
    changed_slots,
    heard_chart,
    section_of,
    slot_at,
    with_slots,
)
from porchswing.offered.offer import (
    KINDS,
    MARK_REASONS,
    USUAL,
    BarChords,
    Place,
    PlaceOffer,
)
from porchswing.options import Choices
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord

MOST_SWAPS, MOST_GRIPS = 12, 8
"""How many offers a list has unless it is asked for more."""

AS_IT_IS, NOT_LOCKED = "as it is", "not locked"


def offers(
    chart: Chart,
    place: Place,
    kind: str = "swap",
    choices: Choices = USUAL,
    count: int | None = None,
) -> tuple[PlaceOffer, ...]:
    r"""Return what could stand at one place, what stands there now first.

    Parameters
    ----------
    chart
        The chart.
    place
        Section, bar (from 1, as written) and beat (from 1, in units of the meter).
    kind
        ``swap``, ``grip`` or ``mark``.
    choices
        The lane that is heard, the depth and the swaps it is made with, and what is asked of the
        grips. A swap belongs to the swing lane.
    count
        How many offers beside the one that stands there (default: 12 swaps, 8 grips).

    Returns
    -------
    tuple of PlaceOffer
        The offers, the likeliest first; none where the place is silent.

    Raises
    ------
    OptionError
        For an unknown kind, a count out of range, or a place the chart does not have.
    GripError
        Where the chart cannot be gripped.

    Examples
    --------
    >>> from porchswing.chart.language.reader import parse_chart
    >>> chart = parse_chart("[A]\n| F | C7 |\n")
    >>> [offer.name for offer in offers(chart, ("A", 2, 1), "mark")][:3]
    ['as it is', 'slide', 'push']
    """
    check_types(
        chart=(chart, Chart), kind=(kind, str), choices=(choices, Choices), count=(count, int, None)
    )
    check_one_of("kind", kind, KINDS)
    section_of(chart, place)
    heard = heard_chart(chart, choices)
    slot, onset = _heard_at(heard, place, choices.lane)
    if slot.chord is None:
        return ()
    if kind == "mark":
        return _marks(slot)
    if kind == "grip":
        return _grips(heard, (place[0], place[1], onset), slot, choices, count or MOST_GRIPS)
    return _swaps(heard, place, count or MOST_SWAPS) if choices.lane == "swing" else ()


def _heard_at(chart: Chart, place: Place, lane: str) -> tuple[Slot, Fraction]:
    """Return the slot that sounds at a place, and the beat it enters."""
    section, bar, beat = place
    slots = chart.section(section).lane(lane)[bar - 1].slots
    index = slot_at(chart, slots, beat)
    onset = 1 + sum((s.beats for s in slots[:index]), Fraction(0)) / chart.meter.unit_beats
    return slots[index], onset


def _marks(slot: Slot) -> tuple[PlaceOffer, ...]:
    """Return the marks: as it is, none, and each alone."""
    now = ", ".join(slot.marks) or "no mark"
    found = [PlaceOffer("mark", AS_IT_IS, f"{now} now.", marks=slot.marks, is_now=True)]
    if slot.marks:
        found.append(PlaceOffer("mark", "no mark", "Played as the pattern has it."))
    found += [
        PlaceOffer("mark", mark, reason, marks=(mark,))
        for mark, reason in MARK_REASONS
        if slot.marks != (mark,)
    ]
    return tuple(found)


def _grips(
    heard: Chart, place: Place, slot: Slot, choices: Choices, count: int
) -> tuple[PlaceOffer, ...]:
    """Return the best grips of a place, neighbours as chosen for the whole chart."""

    def best(road: Chart, most: int) -> tuple[GripAlternative, ...]:
        return grip_alternatives(road, place, most, **choices.grip_wishes)

    now = best(heard, 1)[0]
    rows = best(_unlocked(heard, place, choices.lane) if slot.lock else heard, count)
    locked = "locked in the chart" if slot.lock else "the path's own choice"
    found = [_grip(now, locked, slot.lock, is_now=True)]
    found += [
        _grip(row, f"{row.more:.1f} more work in all" if row.more > 0 else "the least work in all")
        for row in rows
        if row.grip != now.grip
    ]
    if slot.lock:
        found.append(PlaceOffer("grip", NOT_LOCKED, "The path chooses the grip again."))
    else:
        found.append(_grip(now, "Locked here, whatever changes around it.", now.grip.frets))
    return tuple(found)


def _grip(
    row: GripAlternative, reason: str, lock: Frets | None = None, *, is_now: bool = False
) -> PlaceOffer:
    before, after = row.before[:1], row.after[:1]
    return PlaceOffer(
        "grip",
        str(row.grip),
        reason,
        held=row.grip.frets,
        frets=lock if is_now else row.grip.frets,
        before="; ".join(before[0].words) if before else "",
        after="; ".join(after[0].words) if after else "",
        before_ms=before[0].needs_ms if before else None,
        after_ms=after[0].needs_ms if after else None,
        is_now=is_now,
    )


def _unlocked(chart: Chart, place: Place, lane: str) -> Chart:
    """Return the chart with the lock of one place taken away."""
    section = chart.section(place[0])
    free = PlaceOffer("grip", NOT_LOCKED, "")
    new = with_slots(section.lane(lane), changed_slots(chart, section, place, free, lane))
    freed = replace(section, plain=new) if lane == "plain" else replace(section, swing=new)
    sections = tuple(freed if each is section else each for each in chart.sections)
    return replace(chart, sections=sections)


def _swaps(heard: Chart, place: Place, count: int) -> tuple[PlaceOffer, ...]:
    """Return the chords that stand now, then the swaps, those that gain most first."""
    name, bar, beat = place
    slots = heard.section(name).lane("swing")[bar - 1].slots
    symbols = tuple(slot.chord.symbol if slot.chord else "N.C." for slot in slots)
    here = BarChords(bar, symbols, tuple(slot.beats for slot in slots))
    now = PlaceOffer("swap", AS_IT_IS, "What sounds here now.", bars=(here,), is_now=True)
    old = [slot.chord for slot in slots if slot.chord]
    rows = swap_offers(heard, name, bar, int(beat), count)
    return (now, *(_swap(row, old) for row in rows))


def _swap(row: SwapOffer, old: list[Chord]) -> PlaceOffer:
    new = [parse_chord(symbol) for symbol in row.symbols if symbol != "N.C."]
    return PlaceOffer(
        "swap",
        row.name,
        row.reason,
        bars=(
            BarChords(row.bar, row.symbols, row.beats),
            *(BarChords(each.bar, each.after, each.beats) for each in row.changes),
        ),
        depth=row.depth,
        stays=_stays(old, new),
        melody=row.melody,
        fits=row.fits,
    )


def _stays(old: list[Chord], new: list[Chord]) -> tuple[str, ...]:
    """Return the guide tones of some chords that others keep, as the first chords spell them."""
    sounding = {pc for chord in new for pc in chord.pcs}
    names = {note.pc: str(note) for chord in old for note in chord.notes}
    tones = dict.fromkeys(tone for chord in old for tone in guide_tones(chord))
    return tuple(names[tone] for tone in tones if tone in sounding and tone in names)
