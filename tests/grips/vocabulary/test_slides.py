"""Marks in words, and slides that the grips invite."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import HealthCheck, given, settings, strategies as st

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.unroll import unroll
from porchswing.grips.drawings.voicing_text import full_text, voicing_facts
from porchswing.grips.search.voice import voice
from porchswing.grips.shapes.model import moved_along
from porchswing.grips.vocabulary.slides import marks_said, slide_ideas
from support.strategies import tunes


def test_marks_are_seen_in_text_and_json() -> None:
    chart = parse_chart("[A]\n| F6@5555{slide} | Gm7@3535{push,roll} |\n")
    voicing = voice(chart, lane="plain", grips="closed")
    road = unroll(chart, lane="plain")
    text = full_text(voicing, road)
    assert "F6 5555{slide}" in text
    assert "Gm7 3535{push,roll}" in text
    facts = voicing_facts(voicing, road)
    assert [each["marks"] for each in facts["changes"]] == [["slide"], ["push", "roll"]]
    assert [marks_said(slot) for slot in voicing.slots] == [
        "F6: slide in from 4444",
        "Gm7: an eighth early, roll",
    ]


def test_a_shape_that_moves_a_fret_into_a_strong_beat_is_offered() -> None:
    text = "[A]\n| E6@4444 | F6@5555 | G6@7777 | Gm7@3535 | F6@5555 | F6 |\n"
    chart = parse_chart(text)
    voicing = voice(chart, lane="plain", grips="closed")
    every = slide_ideas(voicing, chart.meter, 1.0)
    assert [(i.bar, i.origin, i.mark) for i in every] == [
        (2, "4444", "slide"), (3, "5555", "slide"),
    ]  # fmt: skip
    (best,) = slide_ideas(voicing, chart.meter, 0.2)
    assert best.bar == 2  # one fret before two
    assert "up a fret and arrives on the first beat" in str(best)
    assert slide_ideas(voicing, chart.meter, 0.0) == ()


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tunes(), st.sampled_from((0.1, 0.3)))
def test_ideas_are_few_and_true(chart: Chart, share: float) -> None:
    voicing = voice(chart, grips="any")
    for name in {slot.section for slot in voicing.slots}:
        slots = [s for s in voicing.slots if s.section == name and s.grip]
        ideas = [i for i in slide_ideas(voicing, chart.meter, share) if i.section == name]
        assert len(ideas) <= share * len(slots)
        pairs = {(b.bar, b.beat): (a, b) for a, b in pairwise(slots)}
        for idea in ideas:
            before, after = pairs[idea.bar, idea.beat]
            assert before.grip
            assert after.grip
            low, high = before.grip.frets[0], after.grip.frets[0]
            assert low is not None
            assert high is not None
            assert moved_along(before.grip, high - low) == after.grip
