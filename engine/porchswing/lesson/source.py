"""What a whole lesson is made from, and what every part of it needs again and again.

A :class:`LessonSource` is plain data, so that any process can make any part of the lesson; what
is derived from it is remembered in each process. Its drills begin with a review: of the known
sections of its own tune, else of the tunes before it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import count

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import LAST_TIME, used_sections
from porchswing.grips.drawings.lines import best_line
from porchswing.grips.drawings.moves import Move, hardest_moves
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead, Swap
from porchswing.lesson.comparison import lone_swaps
from porchswing.lesson.drill_kinds import Drill, change_drill, drills
from porchswing.lesson.drill_source import DrillSource, page_bars, spot_of
from porchswing.lesson.learned import (
    NOTHING_MET,
    REVIEWED,
    EarlierTune,
    Met,
    content_of,
    due_changes,
)
from porchswing.options import Choices
from porchswing.pages.practice.page_lane import places, places_among
from porchswing.pages.practice.task import Task
from porchswing.take import lead_and_grips, lead_of, road_of, take_of_lead
from porchswing.take_model import Take

TEMPO_SHARES = (0.6, 0.8, 1.0)
"""The three tempos of the tracks, as shares of the tune's own."""

MIXES: dict[str, tuple[str, ...]] = {"band": (), "practice": ("chords",)}
"""Mixes of every track and the parts they leave out."""

MIX_WORDS = {"band": "with the chord part", "practice": "the chords are yours"}


@dataclass(frozen=True, slots=True)
class LessonSource:
    """A chart as text with the choices for it; ``stem`` begins every file's name.

    ``formats`` are the sound formats of tracks, comparisons and drills; ``papers`` those of the
    handout. ``task`` is what the page opens with; ``student_tracks`` puts the tracks into the
    student's folder. ``met`` is what the tunes before it in a course brought. ``groups`` are the
    headings of the index page to make (empty: all of them; the page itself and the comparison
    are always made), ``tracks`` the tracks to make, each a share of :data:`TEMPO_SHARES` and a name
    of :data:`MIXES` (empty: all of them), ``student`` is whom it is for. A ``quick`` lesson is the
    page, one handout and the two tracks at the tune's own tempo. ``earlier`` are the tunes
    whose hard changes may be reviewed.
    """

    chart_text: str
    chart_name: str
    stem: str
    choices: Choices = field(default=Choices())
    formats: tuple[str, ...] = ("mp3",)
    papers: tuple[str, ...] = ("a4", "letter")
    task: Task | None = None
    student_tracks: bool = False
    met: Met = NOTHING_MET
    groups: tuple[str, ...] = ()
    tracks: tuple[tuple[float, str], ...] = ()
    student: str = ""
    quick: bool = False
    earlier: tuple[EarlierTune, ...] = ()

    @property
    def chart(self) -> Chart:
        """The chart as read."""
        return _chart(self.chart_text, self.chart_name)

    @property
    def lead(self) -> Lead:
        """The swing lane in the key asked for, with its swaps."""
        return _lead(self)[0]

    @property
    def voicing(self) -> Voicing:
        """The grips of the swing lane."""
        return _lead(self)[1]

    @property
    @lru_cache(maxsize=2)  # noqa: B019  # two lessons at most are kept
    def take(self) -> Take:
        """The lane asked for at its own tempo, everybody playing."""
        return self.take_as(self.choices)

    def take_as(self, choices: Choices) -> Take:
        """Return a take of the lesson's chart by other choices."""
        return take_of_lead(lead_of(self.chart, choices), choices)

    @property
    def known_sections(self) -> frozenset[str]:
        """The sections that page and handout show small: what the lesson is not about.

        That is all but the section asked for, else what a lesson before taught; nothing where
        the lesson teaches nothing new.
        """
        asked = self.choices.section
        shown = self.chart if asked is None else self.lead.chart
        named = {section.name for section in used_sections(shown)}
        about = named - self.met.sections if asked is None else {asked}
        known = {name for name in named if name.removesuffix(LAST_TIME) not in about} - about
        return frozenset(known) if about else frozenset()

    @property
    def page_task(self) -> Task | None:
        """The task given, else to loop what the lesson is about where the rest is known."""
        if self.task is not None:
            return self.task
        shown = page_bars(self.lead.chart, self.choices)
        if self.choices.section is not None:
            about = places_among(road_of(self.lead.chart, self.choices).bars, shown)
            return Task((min(about) + 1, max(about) + 1))
        known = self.known_sections
        new = {place for bar, place in zip(shown, places(shown), strict=True)
               if bar.section not in known}  # fmt: skip
        if not known or not new:
            return None
        first = min(new)
        last = next(place for place in count(first) if place + 1 not in new)
        return Task((first + 1, last + 1))

    @property
    @lru_cache(maxsize=2)  # noqa: B019  # two lessons at most are kept
    def drills(self) -> tuple[Drill, ...]:
        """Every drill of the lesson."""
        if self.quick:
            return ()
        known = self.known_sections
        new = [each.name for each in self.lead.chart.sections if each.name not in known]
        return lesson_drills(self.chart, self.choices, new, self.earlier)

    @property
    @lru_cache(maxsize=2)  # noqa: B019  # two lessons at most are kept
    def lone_swaps(self) -> tuple[Swap, ...]:
        """Swaps of the lead that can be heard by themselves, one of each name."""
        return lone_swaps(self.lead.chart, self.lead)

    @property
    def tempos_bpm(self) -> tuple[float, ...]:
        """The tempos of the tracks, slowest first, in whole felt beats a minute."""
        return tuple(dict.fromkeys(self.tempo_bpm(share) for share in TEMPO_SHARES))

    def tempo_bpm(self, share: float) -> float:
        """Return the tempo of a track at a share of the tune's own, in felt beats a minute."""
        own = self.choices.style.felt_bpm(self.chart.tempo_bpm)
        return own if share == 1 else max(30.0, float(round(own * share)))

    def at_tempo(self, tempo_bpm: float) -> Choices:
        """Return the choices at another tempo."""
        style = replace(self.choices.style, tempo_bpm=tempo_bpm, tempo_share=1.0)
        return replace(self.choices, style=style)


def line_string(
    chart: Chart, voicing: Voicing, choices: Choices, section: str | None = None
) -> int:
    """Return the string whose line is written out: asked for, else the best one, else string 1."""
    inner = [] if section is None else [said.line for _, said in chart.section(section).settings]
    for target in (choices.line, *inner, chart.settings.line):
        if target is not None and target.string is not None:
            return target.string
    best = best_line(voicing, section)
    return best.string if best else 1


def lesson_drills(
    chart: Chart,
    choices: Choices,
    new: Collection[str] = (),
    earlier: Sequence[EarlierTune] = (),
) -> tuple[Drill, ...]:
    """Return the drills of a lesson: those of its ``new`` sections, after a review of the others.

    Every new section has a ladder of its own. Where all that is played is new, the hard changes of
    ``earlier`` tunes that are due are reviewed; a section or bars that ``choices`` cut out are
    drilled alone.
    """
    if choices.section is not None or choices.bars is not None:
        return drills(chart, choices)
    spot = spot_of(chart, choices)
    played = dict.fromkeys(bar.section for bar in spot.roadmap.bars)
    taught = {name.removesuffix(LAST_TIME) for name in played if name in new}
    known = [name for name in played if name.removesuffix(LAST_TIME) not in taught]
    fresh = [
        name
        for name in played
        if name in new and not (name.endswith(LAST_TIME) and name.removesuffix(LAST_TIME) in played)
    ]
    if not fresh or not known:
        fresh, known = fresh or list(played), []
    found = drills(chart, choices, about=fresh)
    if not known and earlier:
        return (*_earlier_drills(earlier, EarlierTune(write_chart(chart), "", choices)), *found)
    return (*_review_drills(spot, known), *found)


def _review_drills(spot: DrillSource, known: Collection[str]) -> tuple[Drill, ...]:
    """Return the hardest changes inside the sections known, each a drill to begin with."""
    found = [
        move
        for move in hardest_moves(spot.voicing, spot.roadmap, len(spot.voicing.slots))
        if move.before.section in known and move.after.section in known
    ]
    return tuple(_review(spot, number, move) for number, move in enumerate(found[:REVIEWED], 1))


def _earlier_drills(earlier: Sequence[EarlierTune], tune: EarlierTune) -> Iterator[Drill]:
    """Yield a drill for each hard change of earlier tunes that is due in a tune's lesson."""
    due = due_changes([content_of(each) for each in (*earlier, tune)])[-1]
    for number, (place, move) in enumerate(due, start=1):
        before = earlier[place]
        spot = spot_of(parse_chart(before.chart_text, before.chart_name), before.choices)
        # the page of a lesson has its own tune alone
        yield replace(_review(spot, number, move, f" of {spot.chart.title}"), task=None)


def _review(spot: DrillSource, number: int, move: Move, of: str = "") -> Drill:
    drill = change_drill(spot, number, move, stem="review")
    return replace(drill, kind="review", title=f"Review{of}: {drill.title}")


_chart = lru_cache(maxsize=4)(parse_chart)


@lru_cache(maxsize=2)
def _lead(source: LessonSource) -> tuple[Lead, Voicing]:
    return lead_and_grips(source.chart, replace(source.choices, lane="swing"))
