"""What stands at one place of a chart and why, and what a choice there would write."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import with_onsets
from porchswing.errors import check_types
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.analysis.roman import read_chart_roman
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.offered.choosing import heard_name, section_of, slot_at
from porchswing.offered.offer import USUAL, Place
from porchswing.options import Choices

CHANGES_BAR = "A choice changes this bar of the {lane} lane."
WRITES_LANE = (
    "The first choice writes the swing lane of {section} as it sounds now; "
    "depth no longer acts there."
)


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
    choices: Choices = USUAL,
    lead: Lead | None = None,
    voicing: Voicing | None = None,
) -> PlaceWords:
    r"""Return what stands at one place, why, and what a choice there writes.

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
    slots = heard.section(own).lane(lane)[number - 1].slots
    index = slot_at(chart, slots, beat)
    onset, slot = list(with_onsets(slots))[index]
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
        1 + onset / chart.meter.unit_beats,
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
