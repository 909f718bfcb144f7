"""Lessons of one tune, one after another: what was taught keeps its grips in all later ones.

The grips of a lesson's sections are chosen as if nothing came after it, then kept as locks; the
next lesson is chosen around them. So the same course always gives the same grips, and a section
that is taught later changes none that was taught before.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from porchswing.chart.language.problems import nearest
from porchswing.chart.model import Bar, Chart, Section
from porchswing.chart.unroll import LAST_TIME, is_last_time
from porchswing.course.course_model import SectionLesson
from porchswing.errors import OptionError
from porchswing.grips.shapes.locks import with_locks
from porchswing.harmony.choice.lead import Lead
from porchswing.options import Choices
from porchswing.take import choose_grips, lead_of


def lesson_chart(chart: Chart, choices: Choices, lesson: SectionLesson) -> Chart:
    """Return the chart of one lesson: its sections alone, what was taught before with its grips.

    It is in the key asked for, and its own sections are locked too.
    """
    _check_sections(chart, lesson)
    kept = lead_of(chart, choices).chart
    plain = replace(choices, key=None)
    known: list[str] = []
    for group in (*lesson.taught, lesson.teaches):
        known += [name for name in group if name not in known]
        heard = only_sections(kept, known)
        grips = choose_grips(Lead(heard), plain)
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
    apart = {chart.intro, chart.ending}
    whole = wanted | apart >= named
    left = {section.name for section in chart.sections} - wanted
    form = tuple(
        name.removesuffix(LAST_TIME) if name in left and is_last_time(chart, name) else name
        for name in chart.form
    )
    form = form if whole else tuple(name for name in played if name not in twins)
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


def _check_sections(chart: Chart, lesson: SectionLesson) -> None:
    known = [section.name for section in chart.sections]
    for name in (*lesson.teaches, *lesson.reviews, *lesson.plays):
        if name not in known:
            raise OptionError(f"unknown section {name!r}; {nearest(name, known)}")
