"""The grips of one form in playing order: what may be gripped, the network, the best choices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from porchswing.chart.model import GRIP_KINDS, LineTarget
from porchswing.chart.roadmap import Roadmap, with_onsets
from porchswing.errors import ChordSymbolError, GripError, UnplayableError, check_one_of
from porchswing.grips.search.cost import UNIT, grip_costs
from porchswing.grips.search.form_network import (
    Form,
    Run,
    SlotKey,
    build_form_network,
    read_form,
)
from porchswing.grips.search.network import Network
from porchswing.grips.search.search import best_choices
from porchswing.grips.search.table import GripTable, Ints, grip_table, with_fingerings
from porchswing.grips.shapes.enumerate import need_grips
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import CLOSED_HAND, Hand
from porchswing.grips.shapes.model import Grip, Tuning, VoicedSlot, Voicing
from porchswing.theory.chords import Chord, Quality
from porchswing.theory.symbols import parse_chord, parse_quality

MOST_GRIPS, EASIEST_GRIPS = 550, 220
"""Most grips weighed for one chord, each fingering counted. Only six strings of which some may be
muted have more; there only the easiest to hold are weighed, and the answer is not called proven."""

VARIED_SHARE = 0.1
"""Share of the grips in which ways shown beside each other differ."""

SURCHARGES = (250, 500, 1000, 2000, 4000, 8000, 16000)
"""What a grip already chosen costs more, in cost steps, rising until the ways differ."""

MAX_BEST = 100
"""Most different answers that may be asked for."""


@dataclass(frozen=True, slots=True)
class Offers:
    """What may stand for a whole chord, and what for a quality on any root."""

    chords_for: tuple[tuple[Chord, tuple[Chord, ...]], ...] = ()
    qualities_for: tuple[tuple[Quality, tuple[Quality, ...]], ...] = ()

    def chords(self, chord: Chord) -> tuple[Chord, ...]:
        """Return a chord and what may stand for it; a slash bass is kept."""
        for offered, others in self.chords_for:
            if offered == chord:
                return others
        for quality, qualities in self.qualities_for:
            if quality == chord.quality:
                return tuple(Chord(chord.root, other, chord.bass) for other in qualities)
        return (chord,)


@dataclass(frozen=True, slots=True)
class GripRequest:
    """What is asked of the search: a form, the strings, the hand, and every wish.

    ``by_section`` says that a section may have another kind of grips than ``kind``.
    """

    roadmap: Roadmap
    tuning: Tuning
    kind: str = "closed"
    hand: Hand = CLOSED_HAND
    line: LineTarget | None = None
    frets: tuple[int, int] | None = None
    offers: Offers = Offers()
    loop: bool = False
    tied: bool = True
    mutes: bool = False
    by_section: bool = False

    def __post_init__(self) -> None:
        """Check the kind of grips."""
        check_one_of("grips", self.kind, GRIP_KINDS, GripError)


def read_offers(texts: Iterable[str]) -> Offers:
    """Read offers such as ``Bb7|Bb9``, or ``7|9`` for every root; the first is the one replaced.

    >>> [str(chord) for chord in read_offers(["7|9"]).chords(parse_chord("Bb7"))]
    ['Bb7', 'Bb9']
    """
    chords, qualities = [], []
    for text in texts:
        words = [word.strip() for word in text.split("|")]
        if len(words) < 2 or not all(words):
            raise GripError(f"an offer is two chords or more, such as Bb7|Bb9 or 7|9, got {text!r}")
        try:
            if words[0][0] in "ABCDEFG":
                read = tuple(parse_chord(word) for word in words)
                chords.append((read[0], read))
            else:
                kinds = tuple(parse_quality(word) for word in words)
                qualities.append((kinds[0], kinds))
        except ChordSymbolError as error:
            raise GripError(f"in the offer {text!r}: {error}") from error
    return Offers(tuple(chords), tuple(qualities))


@dataclass(frozen=True, slots=True)
class Layout:
    """A request laid out: the runs of its form, their grips and the network of their costs.

    ``tables`` are the candidates of every run; ``is_whole`` says that every playable grip is among
    them.
    """

    request: GripRequest
    form: Form
    tables: list[GripTable]
    network: Network
    is_whole: bool

    @property
    def decisions(self) -> dict[int, Ints]:
        """The runs, with a number for each of their grips, its fingerings alike."""
        return {run: table.grip_of for run, table in enumerate(self.tables)}

    def voicing(self, choice: Sequence[int], cost: int, *, is_proven: bool = True) -> Voicing:
        """Return the voicing of one choice of candidates, its cost in steps."""
        request = self.request
        chosen = {
            run: (table.chords[choice[run]], table.grips[choice[run]])
            for run, table in enumerate(self.tables)
        }
        return Voicing(
            request.tuning,
            _voiced(request.roadmap, self.form, chosen),
            cost / UNIT,
            request.roadmap.lane,
            is_proven and self.is_whole,
            request.hand,
        )


def lay_out(request: GripRequest) -> Layout:
    """Return a request with its candidates and costs; a form without chords has none."""
    form = read_form(request.roadmap, request.tuning, loop=request.loop, tied=request.tied)
    found = [_candidates(run, request) for run in form.runs]
    tables = [table for table, _ in found]
    network = Network()
    if tables:
        network = build_form_network(form, tables, request.tuning, request.hand, request.line)
    return Layout(request, form, tables, network, all(is_whole for _, is_whole in found))


def best_voicings(layout: Layout, best: int = 1) -> tuple[Voicing, ...]:
    """Return the ``best`` voicings that differ in some grip, cheapest first."""
    if not 1 <= best <= MAX_BEST:
        raise GripError(f"best must be 1 to {MAX_BEST}, got {best}")
    ranking = best_choices(layout.network, layout.decisions, best)
    return tuple(
        layout.voicing(choice, cost, is_proven=ranking.is_proven)
        for cost, choice in ranking.choices
    )


def varied_voicings(layout: Layout, best: int) -> tuple[Voicing, ...]:
    """Return up to ``best`` voicings that each differ in a tenth of their grips from all others.

    The first is the best of all. Each later one is the cheapest once every grip that was
    already chosen costs something more; that sum rises until the ways differ enough. Fewer are
    returned where nothing is left that differs so much.
    """
    network, decisions = layout.network, layout.decisions
    apart = max(1, round(len(decisions) * VARIED_SHARE))
    ranking = best_choices(network, {}, 1)
    found = [ranking.choices[0]]
    while len(found) < best:
        for surcharge in SURCHARGES:
            trial = network.copy()
            for v, grips in decisions.items():
                used = {int(grips[choice[v]]) for _, choice in found}
                trial.add([v], surcharge * np.isin(grips, list(used)).astype(np.int64))
            choice = best_choices(trial, {}, 1).choices[0][1]
            if all(_differences(decisions, choice, other) >= apart for _, other in found):
                found.append((network.cost(choice), choice))
                break
        else:
            break
    ordered = [found[0], *sorted(found[1:])]
    return tuple(
        layout.voicing(choice, cost, is_proven=ranking.is_proven and not number)
        for number, (cost, choice) in enumerate(ordered)
    )


def _differences(decisions: Mapping[int, Ints], one: Sequence[int], other: Sequence[int]) -> int:
    return sum(bool(grips[one[v]] != grips[other[v]]) for v, grips in decisions.items())


def _candidates(run: Run, request: GripRequest) -> tuple[GripTable, bool]:
    """Return the grips one run may take, over all its chords, and whether these are all."""
    tuning, hand, kind = request.tuning, request.hand, _kind(run, request)
    if run.lock is not None:
        held = with_fingerings(locked_grip(run, tuning, hand), hand.barre)
        said = [grip for grip in held if grip.fingers == run.fingers]
        return grip_table([(run.chord, grip) for grip in said or held]), True
    # a section's window is for its closed grips; beginners stay by the nut
    window = request.frets or (None if kind == "open" else run.settings.frets)
    chords = request.offers.chords(run.chord)
    try:
        return _weighed(chords, tuning, hand, kind, window, request.mutes)
    except GripError as error:
        section, bar, _, _ = run.keys[0]
        raise UnplayableError(str(error), section, bar) from error


@lru_cache(maxsize=1024)
def _weighed(
    chords: tuple[Chord, ...],
    tuning: Tuning,
    hand: Hand,
    kind: str,
    window: tuple[int, int] | None,
    mutes: bool,
) -> tuple[GripTable, bool]:
    """Return the grips of some chords, and whether these are all; some chord must have one."""
    found = []
    problem: GripError | None = None
    for chord in chords:
        try:
            grips = need_grips(chord, tuning, hand, kind=kind, window=window, mutes=mutes)
        except GripError as error:
            problem = problem or error
            continue
        for grip in grips:
            found += [(chord, held) for held in with_fingerings(grip, hand.barre, hand.fingers)]
    if not found and problem is not None:
        raise problem
    table = grip_table(found)
    if len(table) <= MOST_GRIPS:
        return table, True
    easiest = np.argsort(grip_costs(table, hand), kind="stable")[:EASIEST_GRIPS]
    return grip_table([found[place] for place in sorted(easiest)]), False


def _kind(run: Run, request: GripRequest) -> str:
    """Return the kind of grips of a run: what its section says, open where that stays plain."""
    if not request.by_section:
        return request.kind
    return run.settings.grips or ("open" if run.settings.lane == "plain" else request.kind)


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
        for index, (start, slot) in enumerate(with_onsets(bar.slots)):
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
                    marks=slot.marks,
                    pass_number=number,
                )
    ordered = sorted(found, key=lambda key: (sections[key[0], key[3]], key[1], key[2]))
    return tuple(found[key] for key in ordered)
