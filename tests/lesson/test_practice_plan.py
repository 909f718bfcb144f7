"""The practice plan: short, with rests, and with its caution."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.chart.language.reader import read_chart
from porchswing.lesson.drill_kinds import Drill, drills
from porchswing.lesson.practice_plan import (
    CARE,
    REST_AFTER_MINUTES,
    plan_minutes,
    plan_text,
    practice_plan,
)
from porchswing.options import Choices


@pytest.fixture(scope="module")
def made() -> tuple[Drill, ...]:
    root = Path(__file__).resolve().parents[2]
    return drills(read_chart(root / "demos" / "lantern_street_stroll.changes"), Choices())


def test_a_session_rests_after_every_few_minutes_of_playing(made: tuple[Drill, ...]) -> None:
    played = 0
    for step in practice_plan(made):
        played = played + step.minutes if step.track else 0
        assert played <= REST_AFTER_MINUTES


def test_a_session_is_short(made: tuple[Drill, ...]) -> None:
    assert 10 <= plan_minutes(practice_plan(made)) <= 25


def test_every_track_of_the_plan_is_one_of_the_drills(made: tuple[Drill, ...]) -> None:
    stems = {drill.stem for drill in made}
    assert {step.track for step in practice_plan(made) if step.track} <= stems


def test_what_does_not_fit_waits_for_another_day(made: tuple[Drill, ...]) -> None:
    last = practice_plan(made)[-1]
    assert last.words.startswith("Another day: ")
    assert "The chord part fades" in last.words


def test_the_text_carries_the_caution(made: tuple[Drill, ...]) -> None:
    text = plan_text("A Tune", practice_plan(made))
    assert text.startswith("Practice plan: A Tune\n")
    assert CARE in text
    assert "licensed" in CARE
