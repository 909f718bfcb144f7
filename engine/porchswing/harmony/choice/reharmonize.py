"""From a chart to its lead: the whole swing lane, chosen at once.

The structure is chosen first (which chords, where), then their colours; both choices are
exact for the points they add up (:mod:`porchswing.harmony.passage.paths`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from porchswing.chart.limits import MAX_DEPTH
from porchswing.chart.model import Bar, Chart, Section, Settings
from porchswing.chart.unroll import LAST_TIME, form_of, is_last_time
from porchswing.errors import OptionError, check_types
from porchswing.harmony.choice.cells import Refused
from porchswing.harmony.choice.chooser import lane_points
from porchswing.harmony.choice.colouring import coloured, mirrored
from porchswing.harmony.choice.fit_sections import Stretch, find_stretches, fit_stretches
from porchswing.harmony.choice.lead import Blocked, LastTime, Lead, Swap
from porchswing.harmony.choice.styles import NINTHS
from porchswing.harmony.choice.swap_report import blocked_of, swaps_of
from porchswing.harmony.depth import DEFAULT_DEPTH
from porchswing.harmony.passage.flow import BarId, Flow, flow_of, written
from porchswing.harmony.passage.steps import Step
from porchswing.harmony.swaps.catalogue import rows_for
from porchswing.harmony.swaps.swap_row import SwapRow

MAX_ALTERNATIVES = 20
LAST_TIME_DEPTH = 2
"""From this depth on the last time through may end otherwise than the others."""


def reharmonize(
    chart: Chart,
    depth: int | None = None,
    use: Iterable[str] = (),
    avoid: Iterable[str] = (),
    *,
    locked: Collection[tuple[str, int]] = (),
    further: bool = False,
    together: bool = False,
) -> Lead:
    """Return the chart with a swing lane in every section, and the swaps that made it.

    Parameters
    ----------
    chart
        The chart; a handwritten swing lane, a locked grip and the length of every bar stay.
    depth
        How far to go: 0 as written, 1 colour only, 2 adds ii–V's and passing diminished,
        3 substitutions and chains, 4 everything the melody allows; ``None`` leaves it to the
        chart and its sections, then to 2.
    use, avoid
        Names of swaps to take in or leave out whatever the depth; one name may be given by itself.
    locked
        Bars to leave alone, as section name and bar number from 1.
    further
        Whether the last time a section comes back it goes one depth further, as a section of
        its own; otherwise sections with the same bars stay alike.
    together
        Whether only swaps are taken that sound well over the plain chords played at the same
        time; a handwritten swing lane stays as it is.

    Returns
    -------
    Lead
        The chart with both lanes, its swaps in order, and those the melody forbade.

    Raises
    ------
    OptionError
        For a depth outside 0 to 4 or an unknown swap.
    """
    check_types(
        chart=(chart, Chart), depth=(depth, int, None), use=(use, Iterable),
        avoid=(avoid, Iterable), locked=(locked, Collection), further=(further, bool),
        together=(together, bool),
    )  # fmt: skip
    leads = _leads(chart, depth, use, avoid, locked, further=further, together=together)
    return next(leads)


def swing_lane(
    chart: Chart,
    depth: int | None = None,
    use: Iterable[str] = (),
    avoid: Iterable[str] = (),
    *,
    together: bool = False,
) -> Chart:
    """Return the chart with a swing lane in every section, for those who only play it.

    It is the chart of :func:`reharmonize`; a lane written by hand is not searched for its swaps.
    """
    leads = _leads(
        chart, depth, use, avoid, (), further=False, together=together, reads_written=False
    )
    return next(leads).chart


def alternatives(
    chart: Chart,
    count: int,
    depth: int | None = None,
    use: Iterable[str] = (),
    avoid: Iterable[str] = (),
    *,
    locked: Collection[tuple[str, int]] = (),
    further: bool = False,
    together: bool = False,
) -> tuple[Lead, ...]:
    """Return up to ``count`` different good lanes, the best first.

    Each one avoids, as far as it can, the swaps the lanes before it have at the same spots.
    """
    if not 1 <= count <= MAX_ALTERNATIVES:
        raise OptionError(f"alternatives run from 1 to {MAX_ALTERNATIVES}, got {count}")
    found: list[Lead] = []
    leads = _leads(chart, depth, use, avoid, locked, further=further, together=together)
    for _, lead in zip(range(4 * count), leads, strict=False):
        if all(lead.chart.sections != other.chart.sections for other in found):
            found.append(lead)
        if len(found) == count:
            break
    return tuple(found)


def _names(names: Iterable[str]) -> tuple[str, ...]:
    """Return names of swaps; one name may be given by itself."""
    return (names,) if isinstance(names, str) else tuple(names)


def _leads(
    chart: Chart,
    asked: int | None,
    use: Iterable[str],
    avoid: Iterable[str],
    locked: Collection[tuple[str, int]],
    *,
    further: bool,
    together: bool,
    reads_written: bool = True,
) -> Iterator[Lead]:
    """Yield leads without end, each away from those before it.

    Without ``reads_written`` they do not name the swaps of lanes written by hand.
    """
    if asked is not None and not 0 <= asked <= MAX_DEPTH:
        raise OptionError(f"depth must be 0 to {MAX_DEPTH}, got {asked}")
    depth, names = depth_of(chart, None, asked), (_names(use), _names(avoid))
    returning: frozenset[str] = frozenset()
    written = chart
    if further:
        chart, returning = with_return(chart)
    last = form_of(chart)[-1]
    if depth_of(chart, last, asked) >= LAST_TIME_DEPTH and last not in returning:
        chart = with_last_time(chart)

    def rows(name: str) -> tuple[int, tuple[SwapRow, ...]]:
        own = depth_of(chart, name, asked)
        own = min(own + 1, MAX_DEPTH) if name in returning else own
        return own, rows_for(own, *names)

    flow = flow_of(chart)
    found = find_stretches(chart, flow, rows, _fixed(chart, locked), together=together)
    while True:
        fit_stretches(flow, found)
        told = _written_swaps(chart, flow, asked) if reads_written else []
        yield told_apart(_lead(chart, depth, flow, found, told), written)
        for part in found:
            part.remember()


def depth_of(chart: Chart, section: str | None = None, asked: int | None = None) -> int:
    """Return how far a section goes: what is asked, else its own depth, the chart's, then 2.

    One that stays plain does not go anywhere.
    """
    said = Settings()
    for _, settings in chart.section(section).settings if section else ():
        said = said.over(settings)
    said = said.over(chart.settings)
    if said.lane == "plain" and section is not None:
        return 0
    return next((d for d in (asked, said.depth) if d is not None), DEFAULT_DEPTH)


def _fixed(chart: Chart, locked: Collection[tuple[str, int]]) -> set[BarId]:
    """Return the locked bars with their indices from 0, or raise for one that is not there."""
    bars = {section.name: len(section.plain) for section in chart.sections}
    for section, bar in locked:
        if section not in bars:
            raise OptionError(f"unknown section {section!r}")
        if not 1 <= bar <= bars[section]:
            raise OptionError(f"section {section} has {bars[section]} bars, got a lock on {bar}")
    return {(section, bar - 1) for section, bar in locked}


def _written_swaps(chart: Chart, flow: Flow, asked: int | None) -> list[Swap]:
    """Return the swaps recognised in swing lanes written by hand."""
    from porchswing.harmony.choice.recognition import recognised  # a backing track needs no names

    return [
        swap for name, whole in recognised(chart, flow, asked) for swap in swaps_of(name, whole)
    ]


def _lead(
    chart: Chart, depth: int, flow: Flow, found: list[Stretch], written_swaps: list[Swap]
) -> Lead:
    """Write the chosen lanes into a chart; ``written_swaps`` are those of its own lanes."""
    bars: dict[str, list[Bar]] = {}
    swaps: list[Swap] = []
    blocked: list[Blocked] = []
    worn: list[tuple[tuple[Step, ...], list[Refused]]] = []
    for part in found:
        usual = worn[found.index(part.base)][0] if part.base else ()
        own = replace(part.passage, steps=part.steps)
        worn.append(coloured(own, part.rows, NINTHS[part.budget.depth], like=usual))
    first = {
        (name, part.bars[0]): steps[0]
        for part, (steps, _) in zip(found, worn, strict=True)
        for name in part.members
    }
    for part, (steps, pale) in zip(found, worn, strict=True):
        after = [first.get(bar) for bar in part.leads_to(flow) if bar is not None]
        whole = replace(part.passage, steps=mirrored(part.passage, steps, after))
        for name in part.members:
            plain = chart.section(name).plain
            bars.setdefault(name, []).extend(written(whole, plain, chart.meter.unit_beats))
            swaps += swaps_of(name, whole)
            blocked += blocked_of(name, whole, [*part.refused, *pale])
    sections = tuple(
        replace(s, swing=tuple(bars.get(s.name, s.plain))) if s.swing is None else s
        for s in chart.sections
    )
    swaps += written_swaps
    order = {section.name: place for place, section in enumerate(chart.sections)}
    points = sum(lane_points(part.chosen) for part in found)
    return Lead(
        replace(chart, sections=sections),
        depth,
        tuple(sorted(swaps, key=lambda swap: order[swap.section])),
        tuple(dict.fromkeys(blocked)),
        points,
    )


def with_return(chart: Chart) -> tuple[Chart, frozenset[str]]:
    """Give the last coming of every repeated section a section of its own.

    Returns the chart and the names of the new sections; a section with a handwritten swing
    lane stays as it is.
    """
    form, sections, new = list(chart.form), list(chart.sections), set()
    names = {section.name for section in sections}
    for section in chart.sections:
        if form.count(section.name) < 2 or section.swing is not None:
            continue
        name = next(n for k in range(2, 1000) if (n := f"{section.name}{k}") not in names)
        names.add(name)
        new.add(name)
        form[len(form) - 1 - form[::-1].index(section.name)] = name
        sections.insert(sections.index(section) + 1, replace(section, name=name, rows=()))
    return replace(chart, form=tuple(form), sections=tuple(sections)), frozenset(new)


def with_last_time(chart: Chart) -> Chart:
    """Give the last section of the form a twin that is played at the end of the last chorus.

    What leads back to the top then need not lead to the end as well. A handwritten swing lane
    stays as it is.
    """
    form = form_of(chart)
    section = chart.section(form[-1])
    name = f"{section.name}{LAST_TIME}"
    taken = any(other.name == name for other in chart.sections)
    if section.swing is not None or taken or is_last_time(chart, section.name):
        return chart
    place = chart.sections.index(section) + 1
    twin = replace(section, name=name, rows=())
    sections = (*chart.sections[:place], twin, *chart.sections[place:])
    return replace(chart, form=(*form[:-1], name), sections=sections)


def told_apart(lead: Lead, written: Chart) -> Lead:
    """Return the lead without the section for the last time where it differs in nothing."""
    names = {section.name for section in written.sections}
    twin = next(
        (
            section
            for section in lead.chart.sections
            if section.name not in names and section.name.endswith(LAST_TIME)
        ),
        None,
    )
    if twin is None:
        return _with_written_twin(lead)
    base = lead.chart.section(twin.name.removesuffix(LAST_TIME))
    if bars := _differing(base, twin):
        return _with_last(lead, LastTime(twin.name, base.name, bars))
    form = (*lead.chart.form[:-1], base.name) if written.form else ()
    return replace(
        lead,
        chart=replace(
            lead.chart,
            form=form,
            sections=tuple(section for section in lead.chart.sections if section != twin),
        ),
        swaps=tuple(swap for swap in lead.swaps if swap.section != twin.name),
        blocked=tuple(one for one in lead.blocked if one.section != twin.name),
    )


def _with_written_twin(lead: Lead) -> Lead:
    """Return the lead with the section for the last time that the chart has of its own."""
    for twin in lead.chart.sections:
        if is_last_time(lead.chart, twin.name):
            base = lead.chart.section(twin.name.removesuffix(LAST_TIME))
            if base.plain == twin.plain and (bars := _differing(base, twin)):
                return _with_last(lead, LastTime(twin.name, base.name, bars))
    return lead


def _differing(base: Section, twin: Section) -> tuple[int, ...]:
    """Return the bars, from 1, whose swing lanes differ."""
    pairs = zip(base.lane("swing"), twin.lane("swing"), strict=True)
    return tuple(number for number, (one, other) in enumerate(pairs, 1) if one.slots != other.slots)


def _with_last(lead: Lead, last: LastTime) -> Lead:
    """Return the lead with a last time only where that differs."""
    name, bars = last.section, last.bars
    swaps = (
        swap
        for swap in lead.swaps
        if swap.section != name or any(swap.bar <= bar < swap.bar + swap.bars for bar in bars)
    )
    blocked = (one for one in lead.blocked if one.section != name or one.bar in bars)
    return replace(lead, last=(last,), swaps=tuple(swaps), blocked=tuple(blocked))
