"""Lessons of one tune, one after another: what was taught keeps its grips in all later ones.

The grips of a lesson's sections are chosen as if nothing came after it, then kept as locks; the
next lesson is chosen around them. So the same course always gives the same grips, and a section
that is taught later changes none that was taught before.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from porchswing.chart.model import Bar, Chart, Section
from porchswing.chart.unroll import LAST_TIME, base_name, check_section, is_last_time
from porchswing.course.course_file import SectionLesson
from porchswing.grips.shapes.locks import with_locks
from porchswing.harmony.choice.lead import Lead
from porchswing.options import Choices
from porchswing.take import choose_grips, lead_of


def lesson_chart(chart: Chart, choices: Choices, lesson: SectionLesson) -> Chart:
    """Return the chart of one lesson: its sections alone, what was taught before with its grips.

    It is in the key asked for, and its own sections are locked too.
    """
    known = [section.name for section in chart.sections]
    for name in (*lesson.teaches, *lesson.reviews, *lesson.plays):
        check_section(name, known)
    kept = lead_of(chart, choices).chart
    plain = replace(choices, key=None)
    met: dict[str, None] = {}
    for group in (*lesson.taught, lesson.teaches):
        met |= dict.fromkeys(group)
        grips = choose_grips(Lead(only_sections(kept, met)), plain)
        kept = _with_twins(with_locks(kept, grips, group), group, choices.lane)
    return only_sections(kept, lesson.plays)


def only_sections(chart: Chart, played: Collection[str]) -> Chart:
    """Return a chart of some sections, in the order of the form where all are played.

    A section's last time is played where it ends the tune, or leads to an ending that is played.
    """
    named = {section.name for section in chart.sections}
    twins = {f"{name}{LAST_TIME}" for name in played} & named
    if chart.ending is not None and chart.ending not in played:
        named -= twins - {*played}
        twins &= {*played}
    wanted = {*played, *twins}
    whole = wanted | {chart.intro, chart.ending} >= named
    form = tuple(name for name in played if name not in twins)
    if whole:
        form = tuple(n if n in wanted else base_name(chart, n) for n in chart.form)
    return replace(
        chart,
        sections=tuple(
            section
            for section in chart.sections
            if section.name in form or (whole and section.name in wanted)
        ),
        form=form,
        intro=chart.intro if chart.intro in played else None,
        ending=chart.ending if chart.ending in played else None,
    )


def _with_twins(chart: Chart, taught: Collection[str], lane: str) -> Chart:
    """Give a section for the last time the grips of its base, wherever the bars are the same."""

    def like_base(section: Section) -> Section:
        base = section.name.removesuffix(LAST_TIME)
        if not is_last_time(chart, section.name) or base not in taught:
            return section
        model = chart.section(base).lane(lane)
        bars = tuple(
            _like(bar, model[index] if index < len(model) else bar)
            for index, bar in enumerate(section.lane(lane))
        )
        if lane == "plain" or section.swing is None:
            return replace(section, plain=bars)
        return replace(section, swing=bars)

    return replace(chart, sections=tuple(like_base(section) for section in chart.sections))


def _like(bar: Bar, model: Bar) -> Bar:
    same = [(s.chord, s.beats) for s in bar.slots] == [(s.chord, s.beats) for s in model.slots]
    return replace(bar, slots=model.slots) if same else bar
