"""What drills are made from: one lane of a tune with its road, its grips and its tempos."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from porchswing.band.compose import seeded
from porchswing.band.practice_forms import in_a_row
from porchswing.band.score import Score
from porchswing.band.strumming.stroke_times import stroke_times
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.grips.drawings.moves import Move, StrokeTimes
from porchswing.grips.shapes.model import Voicing
from porchswing.options import Choices
from porchswing.pages.practice.page_lane import PAGE_CHORUSES
from porchswing.take import lead_and_grips, lead_of, road_of, take_along
from porchswing.take_model import Take

SLOW_SHARE = 0.6
"""Share of the tune's tempo at which a drill starts."""

SLOWEST_BPM = 40.0

PHRASE_BARS = 4
"""Bars of a phrase, as far as drills are concerned."""


@dataclass(frozen=True, slots=True)
class DrillSource:
    """What drills are made from: a tune's lane, its road and grips, and how it is played.

    ``page_bars`` are the bars that the practice page is made from.
    """

    chart: Chart
    roadmap: Roadmap
    voicing: Voicing
    choices: Choices
    page_bars: tuple[PlayedBar, ...]

    @property
    def tempo_bpm(self) -> float:
        """The tune's own tempo, in felt beats a minute."""
        return self.choices.style.felt_bpm(self.roadmap.tempo_bpm)

    @property
    def strokes(self) -> StrokeTimes:
        """The time the strum leaves the hand for each change."""
        return stroke_times(self.roadmap, seeded(self.choices.style, self.chart))

    @property
    def slow_bpm(self) -> float:
        """Where practice starts."""
        return max(min(SLOWEST_BPM, self.tempo_bpm), round(self.tempo_bpm * SLOW_SHARE))

    def take(
        self,
        roadmap: Roadmap,
        tempo_bpm: float,
        *,
        voicing: Voicing | None = None,
        loop: bool = False,
        only: tuple[str, ...] = (),
        also: tuple[str, ...] = (),
        change: Callable[[Score], Score] | None = None,
    ) -> Take:
        """Return a take of a road at a tempo, without a count-in of its own.

        ``change`` is what becomes of its score before it is performed.
        """
        style = replace(
            self.choices.style,
            tempo_bpm=tempo_bpm,
            tempo_share=1.0,
            count_in_bars=0,
            loop=loop,
            ritardando=0.0,
        )
        choices = replace(
            self.choices,
            style=style,
            only=only or self.choices.only,
            also=(*self.choices.also, *also),
        )
        return take_along(self.chart, roadmap, voicing or self.voicing, choices, change=change)


def spot_of(chart: Chart, choices: Choices) -> DrillSource:
    """Return what drills of these choices are made from."""
    lead, voicing = lead_and_grips(chart, choices)
    swung = lead if choices.lane == "swing" else lead_of(chart, replace(choices, lane="swing"))
    shown = page_bars(swung.chart, choices)
    return DrillSource(lead.chart, road_of(lead.chart, choices), voicing, choices, shown)


def page_bars(chart: Chart, choices: Choices) -> tuple[PlayedBar, ...]:
    """Return the bars that the practice page of a chart with a swing lane is made from."""
    return road_of(chart, replace(page_choices(choices), lane="swing")).bars


def page_choices(choices: Choices) -> Choices:
    """Return the choices of the practice page: a lesson about a section shows it in its tune."""
    whole = choices if choices.section is None else replace(choices, section=None, bars=None)
    return replace(whole, choruses=PAGE_CHORUSES)


def place_of(spot: DrillSource, move: Move) -> tuple[int, int]:
    """Return the first and last played bar that hold a change, with a bar of run-up."""
    bars = spot.roadmap.bars
    for index, bar in enumerate(bars):
        if any(slot is move.after for slot in spot.voicing.voiced(bar)):
            near = bars[max(0, index - 1) : index + 1]
            if any(slot is move.before for b in near for slot in spot.voicing.voiced(b)):
                return max(0, index - 1), min(len(bars) - 1, index + 1)
    return 0, min(len(bars), PHRASE_BARS) - 1


def section_roads(
    spot: DrillSource, hardest: Sequence[Move], about: Sequence[str] = ()
) -> dict[str, Roadmap]:
    """Return the road of every section named by the stem of its drill, the hardest change first.

    What was cut out is one section; where none is named, that with the hardest change counts.
    """
    if spot.choices.section is not None or spot.choices.bars is not None:
        return {"ladder": spot.roadmap}
    known = [bar.section for bar in spot.roadmap.bars if bar.role == "form" or about]
    names = [move.after.section for move in hardest if move.after.section in known]
    first = names[0] if names else (*about, spot.roadmap.bars[0].section)[0]
    stems = {"ladder": first, **{f"ladder {name}": name for name in about if name != first}}
    return {
        stem: road_of(spot.chart, replace(spot.choices, section=name))
        for stem, name in stems.items()
    }


def without_repeats(roadmap: Roadmap) -> Roadmap:
    """Return the road with each section once: the first time it comes, all of it."""
    return in_a_row(roadmap, [bar for bar in roadmap.bars if bar.pass_number == 1])
