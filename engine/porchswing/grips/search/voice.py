"""The best way through the changes: a grip for every chord of a chart, chosen together.

Beside it the grips of one chord, the best way for each number of shapes, and what it would gain to
let locked grips go.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from porchswing.chart.model import GRIP_KINDS, Chart, LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.errors import GripError, check_one_of, check_types
from porchswing.grips.search.cost import grip_costs
from porchswing.grips.search.form_voicing import (
    GripRequest,
    best_voicings,
    lay_out,
    read_offers,
    varied_voicings,
)
from porchswing.grips.search.shape_search import ShapeSearch, few_shapes, limited_way
from porchswing.grips.search.table import grip_table, with_fingerings
from porchswing.grips.shapes.enumerate import need_grips
from porchswing.grips.shapes.hand import CLOSED_HAND, OPEN_HAND, Ease, Hand
from porchswing.grips.shapes.locks import for_tuning, locked_sections, unlocked
from porchswing.grips.shapes.model import Grip, Tuning, VoicedSlot, Voicing
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.harmony.choice.lead import Lead
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord


def voice(
    lead: Lead | Chart,
    tuning: str | Tuning | None = None,
    lane: str = "swing",
    grips: str | None = None,
    line: LineTarget | int | None = None,
    max_fret: int | None = None,
    max_stretch: int | None = None,
    *,
    frets: tuple[int, int] | None = None,
    hand: Hand | None = None,
    ease: Ease | None = None,
    offers: Iterable[str] = (),
    loop: bool = False,
    tied: bool = True,
    mutes: bool = False,
) -> Voicing:
    """Return the best grips for a chart: the smoothest lines for the least work of the hand.

    Parameters
    ----------
    lead
        A chart, or what the reharmoniser made of one.
    tuning
        A tuning or its name (default: the chart's). Locked grips belong to the chart's tuning;
        with another tuning they are ignored.
    lane
        ``plain`` or ``swing``.
    grips
        ``closed``, ``open`` or ``any``; ``None`` means open in the plain lane, else closed.
    line
        The string that should carry a line through every section, or its full target; it
        overrides the chart's.
    max_fret, max_stretch
        Limits in frets; they override those of the hand.
    frets
        Lowest and highest fret to use; they override the chart's.
    hand
        Limits and weights (default: those that suit the kind of grips).
    ease
        A hand profile: what a player changes of them.
    offers
        Chords that may stand for each other, such as ``Bb7|Bb9`` or, for every root, ``7|9``;
        the first one is the one replaced.
    loop
        Count the way from the last bar of the form back to its first.
    tied
        Give identical sections identical grips.
    mutes
        Let strings be muted.

    Returns
    -------
    Voicing
        A grip for every chord, in written order, with their cost and whether it is proven least.

    Raises
    ------
    GripError
        Where a chord cannot be gripped within the limits, or a lock does not fit the tuning.
    """
    return voicings(
        lead, tuning=tuning, lane=lane, grips=grips, line=line, max_fret=max_fret,
        max_stretch=max_stretch, frets=frets, hand=hand, ease=ease, offers=offers, loop=loop,
        tied=tied, mutes=mutes, best=1,
    )[0]  # fmt: skip


def voicings(
    lead: Lead | Chart, *, best: int, varied: bool = False, **wishes: Any
) -> tuple[Voicing, ...]:
    """Return the ``best`` different ways through a chart, the cheapest first.

    With ``varied`` they differ from each other in a tenth of their grips at least; fewer are
    returned where there are no more. ``wishes`` are the arguments of :func:`request_of`.
    """
    request = request_of(lead, **wishes)
    chart = for_tuning(chart_of(lead), request.tuning)
    # sections that the form leaves out are voiced for those who play one by itself
    apart: tuple[VoicedSlot, ...] = ()
    played = {bar.section for bar in request.roadmap.bars}
    for name in [each.name for each in chart.sections if each.name not in played]:
        alone = replace(request, roadmap=unroll(chart, lane=request.roadmap.lane, sections=(name,)))
        apart += ways_of(alone, 1)[0].slots
    return tuple(
        replace(way, slots=way.slots + apart) for way in ways_of(request, best, varied=varied)
    )


def ways_of(request: GripRequest, best: int, *, varied: bool = False) -> tuple[Voicing, ...]:
    """Return the best voicings of a form, with few new shapes where the hand limits them."""
    layout = lay_out(request)
    if request.hand.new is None or not layout.tables:
        return varied_voicings(layout, best) if varied else best_voicings(layout, best)
    way = limited_way(layout)
    return (layout.voicing(way.choice, way.cost, is_proven=way.is_proven),)


def request_of(
    lead: Lead | Chart,
    *,
    tuning: str | Tuning | None = None,
    lane: str = "swing",
    grips: str | None = None,
    line: LineTarget | int | None = None,
    max_fret: int | None = None,
    max_stretch: int | None = None,
    frets: tuple[int, int] | None = None,
    hand: Hand | None = None,
    ease: Ease | None = None,
    offers: Iterable[str] = (),
    loop: bool = False,
    tied: bool = True,
    mutes: bool = False,
) -> GripRequest:
    """Return the request to the search, with every default filled in; see :func:`voice`."""
    offers = (offers,) if isinstance(offers, str) else offers
    check_types(
        lead=(lead, Lead, Chart), tuning=(tuning, str, Tuning, None), lane=(lane, str),
        grips=(grips, str, None), line=(line, LineTarget, int, None),
        max_fret=(max_fret, int, None), max_stretch=(max_stretch, int, None),
        frets=(frets, tuple, None), hand=(hand, Hand, None), ease=(ease, Ease, None),
        offers=(offers, Iterable), loop=(loop, bool), tied=(tied, bool), mutes=(mutes, bool),
    )  # fmt: skip
    chosen = tuning_of(tuning or chart_of(lead).tuning)
    chart = for_tuning(chart_of(lead), chosen)
    kind = grips or ("open" if lane == "plain" else "closed")
    roadmap = unroll(chart, lane=lane)
    given = _hand_for(kind, hand, ease)
    if hand is None and ease is None and max_fret is None:
        given = _reaching(given, roadmap, frets)
    return GripRequest(
        roadmap,
        chosen,
        kind=kind,
        hand=given.within(max_fret, max_stretch),
        line=LineTarget(line) if isinstance(line, int) else line,
        frets=frets,
        offers=read_offers(offers),
        loop=loop,
        tied=tied,
        mutes=mutes,
        by_section=grips is None,
    )


def _hand_for(kind: str, hand: Hand | None, ease: Ease | None) -> Hand:
    """Return a hand, by default the one that suits a kind of grips, with a profile over it."""
    given = hand or (OPEN_HAND if kind == "open" else CLOSED_HAND)
    return ease.over(given) if ease else given


def chart_of(lead: Lead | Chart) -> Chart:
    """Return the chart of a lead, or the chart itself."""
    return lead if isinstance(lead, Chart) else lead.chart


def _reaching(hand: Hand, roadmap: Roadmap, frets: tuple[int, int] | None) -> Hand:
    """Return a hand nobody chose, reaching as high as the chart's fret windows ask."""
    windows = [frets, *(bar.settings.frets for bar in roadmap.bars)]
    return replace(hand, max_fret=max(hand.max_fret, *(w[1] for w in windows if w), 1))


# --- one chord by itself -------------------------------------------------------------------


def grips_of(
    chord: Chord | str,
    tuning: str | Tuning = "gCEA",
    *,
    grips: str = "any",
    max_fret: int | None = None,
    max_stretch: int | None = None,
    frets: tuple[int, int] | None = None,
    hand: Hand | None = None,
    ease: Ease | None = None,
    mutes: bool = False,
) -> tuple[Grip, ...]:
    """Return every playable grip of a chord, the easiest to form first.

    Parameters
    ----------
    chord
        A chord or its symbol.
    tuning
        A tuning, its name or its notes.
    grips
        ``closed`` (no open string), ``open`` (by the nut) or ``any``.
    max_fret, max_stretch
        Highest fret, and most frets between the lowest and the highest finger; they override
        the limits of the hand.
    frets
        Lowest and highest fret that fingers may use.
    hand
        Limits and weights (default: those that suit the kind of grips).
    ease
        A hand profile, which overrides limits and weights of the hand.
    mutes
        Whether strings may be muted.

    Returns
    -------
    tuple of Grip
        Ordered by what the hand's weights count, then by fret; never empty.

    Raises
    ------
    ChordSymbolError, TuningError
        For a symbol or a tuning that cannot be read.
    GripError
        Where no grip lies within the limits; the message gives the nearest that would help.

    Examples
    --------
    >>> [str(grip) for grip in grips_of("Am7", max_fret=7)][:2]
    ['0000', '0057']
    >>> [str(grip) for grip in grips_of("Am7", grips="closed", max_fret=7)]
    ['2433', '5757']
    """
    check_types(
        chord=(chord, Chord, str),
        tuning=(tuning, Tuning, str),
        grips=(grips, str),
        max_fret=(max_fret, int, None),
        max_stretch=(max_stretch, int, None),
        frets=(frets, tuple, None),
        hand=(hand, Hand, None),
        ease=(ease, Ease, None),
        mutes=(mutes, bool),
    )
    check_one_of("grips", grips, GRIP_KINDS, GripError)
    wanted = parse_chord(chord) if isinstance(chord, str) else chord
    limits = _hand_for(grips, hand, ease).within(max_fret, max_stretch)
    found = need_grips(wanted, tuning_of(tuning), limits, kind=grips, window=frets, mutes=mutes)
    held = [with_fingerings(grip, limits.barre, limits.fingers)[0] for grip in found]
    costs = grip_costs(grip_table([(wanted, grip) for grip in held]), limits)
    return tuple(held[place] for place in np.argsort(costs, kind="stable"))


# --- alternatives: fewer shapes, locks removed -----------------------------------------------

LEAST_SAVED = 0.1
"""Least share of a tune's whole work that a reported gain saves; ours, no source."""


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The best way found with so many ``shapes``."""

    shapes: int
    voicing: Voicing


def shape_curve(
    lead: Lead | Chart, *, tries: int | None = None, **wishes: Any
) -> tuple[CurvePoint, ...]:
    """Return the best way for each number of shapes, from the fewest that do.

    The last point is the cheapest way of all. ``wishes`` are those of
    :func:`voice`; known shapes count as well.
    """
    layout = lay_out(request_of(lead, **wishes))
    if not layout.tables:
        return ()
    search = ShapeSearch.of(layout)
    found: list[CurvePoint] = []
    most = len(layout.tables)
    while most:
        way = few_shapes(search, most, tries)
        if way is None:
            break
        voicing = layout.voicing(way.choice, way.cost, is_proven=way.is_proven)
        found.append(CurvePoint(len(way.shapes), voicing))
        most = len(way.shapes) - 1
    return tuple(reversed(found))


@dataclass(frozen=True, slots=True)
class LetGo:
    """What a tune would gain if the locked grips of one section were chosen again."""

    section: str
    saves: float
    share: float

    def __str__(self) -> str:
        """Return the gain in one sentence."""
        return (
            f"section {self.section} keeps its grips; chosen anew, the tune would take "
            f"{self.share:.0%} less work (--let-go {self.section})"
        )


def worth_letting_go(chart: Chart, kept: Voicing, **wishes: Any) -> tuple[LetGo, ...]:
    """Return the sections whose kept grips cost much, those that gain most first.

    ``kept`` is the voicing of the chart as it is; ``wishes`` are those of
    :func:`voice`.
    """
    found = []
    for name in locked_sections(chart, kept.lane) if kept.cost else ():
        free = voice(unlocked(chart, (name,)), **wishes)
        saves = kept.cost - free.cost
        if saves >= LEAST_SAVED * kept.cost:
            found.append(LetGo(name, round(saves, 3), saves / kept.cost))
    return tuple(sorted(found, key=lambda each: -each.saves))
