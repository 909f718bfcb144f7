"""The best way through the changes: a grip for every chord of a chart, chosen together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np

from porchswing.chart.model import Chart, LineTarget
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import unroll
from porchswing.errors import GripError, UnplayableError, check_types
from porchswing.grips.search.chord_alternatives import Offers, read_offers
from porchswing.grips.search.cost import UNIT, grip_costs
from porchswing.grips.search.form_network import (
    Form,
    FormNetwork,
    Run,
    SlotKey,
    build_form_network,
    read_form,
)
from porchswing.grips.search.search import best_choices
from porchswing.grips.search.table import GripTable, grip_table, with_fingerings
from porchswing.grips.shapes.enumerate import need_grips
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import CLOSED_HAND, OPEN_HAND, Ease, Hand
from porchswing.grips.shapes.locks import for_tuning
from porchswing.grips.shapes.model import GRIP_KINDS, Grip, Tuning, VoicedSlot, Voicing
from porchswing.grips.shapes.tunings import tuning as tuning_of
from porchswing.harmony.choice.lead import Lead
from porchswing.theory.chords import Chord

MOST_GRIPS, EASIEST_GRIPS = 550, 220
"""Most grips weighed for one chord, each fingering counted. Only six strings of which some may be
muted have more; there only the easiest to hold are weighed, and the answer is not called proven."""

MAX_BEST = 100
"""Most different answers that may be asked for."""


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
        lead, tuning, lane, grips, line, max_fret, max_stretch, frets=frets, hand=hand, ease=ease,
        offers=offers, loop=loop, tied=tied, mutes=mutes, best=1,
    )[0]  # fmt: skip


def voicings(
    lead: Lead | Chart,
    tuning: str | Tuning | None = None,
    lane: str = "swing",
    grips: str | None = None,
    line: LineTarget | int | None = None,
    max_fret: int | None = None,
    max_stretch: int | None = None,
    *,
    best: int,
    frets: tuple[int, int] | None = None,
    hand: Hand | None = None,
    ease: Ease | None = None,
    offers: Iterable[str] = (),
    loop: bool = False,
    tied: bool = True,
    mutes: bool = False,
) -> tuple[Voicing, ...]:
    """Return the ``best`` different ways through a chart, the cheapest first; see :func:`voice`."""
    offers = (offers,) if isinstance(offers, str) else offers
    check_types(
        lead=(lead, Lead, Chart), tuning=(tuning, str, Tuning, None), lane=(lane, str),
        grips=(grips, str, None), line=(line, LineTarget, int, None), best=(best, int),
        max_fret=(max_fret, int, None), max_stretch=(max_stretch, int, None),
        frets=(frets, tuple, None), hand=(hand, Hand, None), ease=(ease, Ease, None),
        offers=(offers, Iterable), loop=(loop, bool), tied=(tied, bool), mutes=(mutes, bool),
    )  # fmt: skip
    chart = chart_of(lead)
    chosen = tuning_of(tuning or chart.tuning)
    chart = for_tuning(chart, chosen)
    kind = grips or ("open" if lane == "plain" else "closed")
    roadmap = unroll(chart, lane=lane)
    given = hand or (OPEN_HAND if kind == "open" else CLOSED_HAND)
    if ease is not None:
        given = ease.over(given)
    if hand is None and ease is None and max_fret is None:
        given = _reaching(given, roadmap, frets)

    def ways(road: Roadmap, count: int) -> tuple[Voicing, ...]:
        return voice_roadmap(
            road,
            chosen,
            kind=kind,
            hand=given.within(max_fret, max_stretch),
            line=LineTarget(line) if isinstance(line, int) else line,
            frets=frets,
            offers=read_offers(offers),
            loop=loop,
            tied=tied,
            mutes=mutes,
            best=count,
        )

    apart: tuple[VoicedSlot, ...] = ()
    for name in _unplayed(chart, roadmap):  # for those who play a section by itself
        apart += ways(unroll(chart, lane=lane, sections=(name,)), 1)[0].slots
    return tuple(replace(way, slots=way.slots + apart) for way in ways(roadmap, best))


def chart_of(lead: Lead | Chart) -> Chart:
    """Return the chart of a lead, or the chart itself."""
    return lead if isinstance(lead, Chart) else lead.chart


def _unplayed(chart: Chart, roadmap: Roadmap) -> tuple[str, ...]:
    """Return the sections that the form leaves out."""
    played = {bar.section for bar in roadmap.bars}
    return tuple(section.name for section in chart.sections if section.name not in played)


def _reaching(hand: Hand, roadmap: Roadmap, frets: tuple[int, int] | None) -> Hand:
    """Return a hand nobody chose, reaching as high as the chart's fret windows ask."""
    windows = [frets, *(bar.settings.frets for bar in roadmap.bars)]
    return replace(hand, max_fret=max(hand.max_fret, *(w[1] for w in windows if w), 1))


def voice_roadmap(
    roadmap: Roadmap,
    tuning: Tuning,
    *,
    kind: str = "closed",
    hand: Hand = CLOSED_HAND,
    line: LineTarget | None = None,
    frets: tuple[int, int] | None = None,
    offers: Offers | None = None,
    loop: bool = False,
    tied: bool = True,
    mutes: bool = False,
    best: int = 1,
) -> tuple[Voicing, ...]:
    """Return the ``best`` different voicings of a form in playing order, cheapest first."""
    if kind not in GRIP_KINDS:
        raise GripError(f"grips must be one of {', '.join(GRIP_KINDS)}, got {kind!r}")
    if not 1 <= best <= MAX_BEST:
        raise GripError(f"best must be 1 to {MAX_BEST}, got {best}")
    form = read_form(roadmap, tuning, loop=loop, tied=tied)
    if not form.runs:
        return (Voicing(tuning, _voiced(roadmap, form, {}), 0.0, roadmap.lane, hand=hand),)
    found = [
        _candidates(run, tuning, hand, kind, frets, mutes, offers or Offers()) for run in form.runs
    ]
    tables = [table for table, _ in found]
    problem = build_form_network(form, tables, tuning, hand, line)
    grips_of = {run: table.grip_of for run, table in enumerate(tables)}
    ranking = best_choices(problem.network, grips_of, best)
    return tuple(
        Voicing(
            tuning,
            _voiced(roadmap, form, _chosen(problem, choice)),
            cost / UNIT,
            roadmap.lane,
            ranking.is_proven and all(is_whole for _, is_whole in found),
            hand,
        )
        for cost, choice in ranking.choices
    )


def _candidates(
    run: Run,
    tuning: Tuning,
    hand: Hand,
    kind: str,
    frets: tuple[int, int] | None,
    mutes: bool,
    offers: Offers,
) -> tuple[GripTable, bool]:
    """Return the grips one run may take, over all its chords, and whether these are all."""
    if run.lock is not None:
        held = with_fingerings(locked_grip(run, tuning, hand), hand.barre)
        return grip_table([(run.chord, grip) for grip in held]), True
    # a section's window is for its closed grips; beginners stay by the nut
    window = frets or (None if kind == "open" else run.settings.frets)
    found = []
    problem: GripError | None = None
    for chord in offers.chords(run.chord):
        try:
            grips = need_grips(chord, tuning, hand, kind=kind, window=window, mutes=mutes)
        except GripError as error:
            problem = problem or error
            continue
        for grip in grips:
            found += [(chord, held) for held in with_fingerings(grip, hand.barre, hand.fingers)]
    if not found and problem is not None:
        section, bar, _, _ = run.keys[0]
        raise UnplayableError(str(problem), section, bar) from problem
    table = grip_table(found)
    if len(table) <= MOST_GRIPS:
        return table, True
    easiest = np.argsort(grip_costs(table, hand), kind="stable")[:EASIEST_GRIPS]
    return grip_table([found[place] for place in sorted(easiest)]), False


def locked_grip(run: Run, tuning: Tuning, hand: Hand) -> Grip:
    """Return the grip a chart locks, which must fit the tuning and a hand without barres."""
    section, bar, _, _ = run.keys[0]
    lock = run.lock or ()
    if len(lock) != tuning.strings:
        raise UnplayableError(
            f"the grip locked under {run.chord} has {len(lock)} frets, but {tuning.name} has "
            f"{tuning.strings} strings",
            section,
            bar,
        )
    if not hand.barre and fingerings(lock) and not fingerings(lock, barre=False):
        raise UnplayableError(
            f"the grip {Grip(lock, tuning)} locked under {run.chord} takes a finger across "
            f"strings, and this hand lays none; try another lock or a barre",
            section,
            bar,
        )
    return Grip(lock, tuning)


def _chosen(problem: FormNetwork, choice: Sequence[int]) -> Mapping[int, tuple[Chord, Grip]]:
    return {
        run: (table.chords[choice[run]], table.grips[choice[run]])
        for run, table in enumerate(problem.tables)
    }


def _voiced(
    roadmap: Roadmap, form: Form, chosen: Mapping[int, tuple[Chord, Grip]]
) -> tuple[VoicedSlot, ...]:
    """Return every written slot once with its grip: sections as they come, bars as written."""
    found: dict[SlotKey, VoicedSlot] = {}
    sections: dict[tuple[str, int], int] = {}
    unit = roadmap.meter.unit_beats
    for bar in roadmap.bars:
        number = bar.pass_number if form.by_pass else 0
        sections.setdefault((bar.section, number), len(sections))
        start = Fraction(0)
        for index, slot in enumerate(bar.slots):
            key = (bar.section, bar.bar, index, number)
            if key not in found:
                run = form.run_of.get(key)
                chord, grip = chosen[run] if run is not None else (None, None)
                if chord is not None and slot.chord is not None:
                    chord = replace(chord, bass=slot.chord.bass)  # a run may change its bass
                found[key] = VoicedSlot(
                    section=bar.section,
                    bar=bar.bar,
                    slot=index,
                    beat=1 + start / unit,
                    chord=chord,
                    grip=grip,
                    locked=slot.lock is not None,
                    pass_number=number,
                )
            start += slot.beats
    ordered = sorted(found, key=lambda key: (sections[key[0], key[3]], key[1], key[2]))
    return tuple(found[key] for key in ordered)
