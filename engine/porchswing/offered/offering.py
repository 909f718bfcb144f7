"""The offers for one place of a chart, and what is played there and why.

Offers are swaps, grips or marks, the likeliest first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from porchswing.chart.model import Chart, Frets, Place, Slot
from porchswing.chart.roadmap import with_onsets
from porchswing.errors import check_one_of, check_types
from porchswing.grips.drawings.grip_alternatives import (
    GripAlternative,
    grip_alternatives,
)
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.analysis.roman import read_chart_roman
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.scoring import guide_tones
from porchswing.harmony.places.swap_offer import SwapOffer
from porchswing.harmony.places.swap_offers import swap_offers
from porchswing.offered.choosing import (
    KINDS,
    MARK_REASONS,
    BarChords,
    PlaceOffer,
    heard_chart,
    heard_name,
    offered_slots,
    section_of,
    slot_at,
    with_slots,
)
from porchswing.options import DEFAULTS, Choices
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord

MOST_SWAPS, MOST_GRIPS = 12, 8
"""How many offers a list has unless it is asked for more."""

CHANGES_BAR = "A choice changes this bar of the {lane} lane."
WRITES_LANE = (
    "The first choice writes the swing lane of {section} as it sounds now; "
    "depth no longer acts there."
)

AS_IT_IS, NOT_LOCKED = "as it is", "not locked"


def offers(
    chart: Chart,
    place: Place,
    kind: str = "swap",
    choices: Choices = DEFAULTS,
    count: int | None = None,
) -> tuple[PlaceOffer, ...]:
    r"""Return what could be played at one place, what is there now first.

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
        How many offers beside the one that is there (default: 12 swaps, 8 grips).

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
    _, slot, onset = _heard_at(heard, place, choices.lane)
    if slot.chord is None:
        return ()
    if kind == "mark":
        return _marks(slot)
    if kind == "grip":
        return _grips(heard, (place[0], place[1], onset), slot, choices, count or MOST_GRIPS)
    return _swaps(heard, place, count or MOST_SWAPS) if choices.lane == "swing" else ()


def _heard_at(chart: Chart, place: Place, lane: str) -> tuple[int, Slot, Fraction]:
    """Return the slot that sounds at a place: its number in the bar, itself, the beat it enters."""
    section, bar, beat = place
    slots = chart.section(section).lane(lane)[bar - 1].slots
    index = slot_at(chart, slots, beat)
    onset, slot = list(with_onsets(slots))[index]
    return index, slot, 1 + onset / chart.meter.unit_beats


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
    new = with_slots(section.lane(lane), offered_slots(chart, section, place, free, lane))
    freed = replace(section, plain=new) if lane == "plain" else replace(section, swing=new)
    return replace(
        chart, sections=tuple(freed if each is section else each for each in chart.sections)
    )


def _swaps(heard: Chart, place: Place, count: int) -> tuple[PlaceOffer, ...]:
    """Return the chords that are there now, then the swaps, those that gain most first."""
    name, bar, beat = place
    slots = heard.section(name).lane("swing")[bar - 1].slots
    symbols = tuple(slot.chord.symbol if slot.chord else "N.C." for slot in slots)
    here = BarChords(bar, symbols, tuple(slot.beats for slot in slots))
    now = PlaceOffer("swap", AS_IT_IS, "What sounds here now.", bars=(here,), is_now=True)
    old = [slot.chord for slot in slots if slot.chord]
    return (now, *(_swap(row, old) for row in swap_offers(heard, name, bar, int(beat), count)))


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


# --- what is there and why ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PlaceWords:
    """A place in words.

    ``beat`` is where the chord enters; ``chord`` and ``numeral`` what sounds in the lane,
    ``plain`` the bar as the beginner knows it; ``swaps`` are those that reach into the bar.
    ``grip`` is the chosen grip, ``""`` where no voicing was given. ``writes`` says what a
    choice here writes into the chart.
    """

    section: str
    bar: int
    beat: Fraction
    chord: str
    numeral: str
    plain: tuple[str, ...]
    swaps: tuple[Swap, ...]
    grip: str
    is_locked: bool
    marks: tuple[str, ...]
    writes: str

    def __str__(self) -> str:
        """Return the place in one line."""
        return f"{self.section} bar {self.bar}: {self.chord} ({self.numeral}). {self.writes}"


def explain(
    chart: Chart,
    place: Place,
    choices: Choices = DEFAULTS,
    lead: Lead | None = None,
    voicing: Voicing | None = None,
) -> PlaceWords:
    r"""Return what is played at one place, why, and what a choice there writes.

    Parameters
    ----------
    chart
        The chart.
    place
        Section, bar (from 1, as written) and beat (from 1, in units of the meter).
    choices
        The lane that is heard, and the depth and the swaps it is made with.
    lead, voicing
        Those of the chart, where they are at hand already.

    Returns
    -------
    PlaceWords
        The place in words.

    Raises
    ------
    OptionError
        Where the chart has no such place.

    Examples
    --------
    >>> from porchswing.chart.language.reader import parse_chart
    >>> words = explain(parse_chart("key: F\n[A]\n| F | C7 | F |\n"), ("A", 2, 1))
    >>> words.chord, words.numeral, words.plain
    ('Gm7', 'ii7', ('C7',))
    """
    check_types(
        chart=(chart, Chart),
        choices=(choices, Choices),
        lead=(lead, Lead, None),
        voicing=(voicing, Voicing, None),
    )
    section, lane = section_of(chart, place), choices.lane
    _, number, beat = place
    lead = lead or reharmonize(
        chart, choices.depth, choices.use, choices.avoid, together=choices.together
    )
    heard = chart if lane == "plain" else lead.chart
    own = heard_name(heard, section.name)
    index, slot, onset = _heard_at(heard, (own, number, beat), lane)
    reads = [
        read.reading
        for read in read_chart_roman(heard, lane=lane)
        if (read.section, read.bar) == (own, number)
    ]
    reading = reads[index] if index < len(reads) else None
    voiced = reversed(voicing.slots if voicing else ())
    grips = {(each.section, each.bar, each.slot): each.grip for each in voiced}
    own_swaps = [swap for swap in lead.swaps if lane == "swing" and swap.section == own]
    is_written = lane == "plain" or section.swing is not None
    return PlaceWords(
        section.name,
        number,
        onset,
        slot.chord.symbol if slot.chord else "N.C.",
        reading.numeral if reading else "",
        tuple(
            each.chord.symbol if each.chord else "N.C." for each in section.plain[number - 1].slots
        ),
        tuple(swap for swap in own_swaps if swap.bar <= number < swap.bar + swap.bars),
        str(grips.get((own, number, index)) or ""),
        slot.lock is not None,
        slot.marks,
        (CHANGES_BAR if is_written else WRITES_LANE).format(lane=lane, section=section.name),
    )
