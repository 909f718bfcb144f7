"""What the notation tests share: scores of the demo charts and the W3C schema."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from porchswing.chart.language.reader import read_chart
from porchswing.chart.model import Chart
from porchswing.grips.shapes.model import Voicing
from porchswing.lesson.chart_score import notated_score
from porchswing.options import Choices
from porchswing.take import lead_and_grips

DEMOS = ("lantern_street_stroll", "pickled_lemon_blues", "moth_at_the_window")


@dataclass(frozen=True)
class Exported:
    """A demo chart, what its lanes are played with, and its score as text."""

    plain: Chart
    swing: Chart
    grips: dict[str, Voicing]
    text: str


@cache
def _exported(path: Path) -> Exported:
    chart = read_chart(path)
    lead, closed = lead_and_grips(chart, Choices())
    _, opened = lead_and_grips(chart, Choices(lane="plain"))
    return Exported(
        chart, lead.chart, {"swing": closed, "plain": opened}, notated_score(chart, Choices())
    )


@pytest.fixture
def music21_there(need_module) -> None:
    need_module("music21")


@pytest.fixture(params=DEMOS)
def exported(request, root: Path) -> Exported:
    return _exported(root / "demos" / f"{request.param}.changes")


@cache
def _schema() -> Any:
    from importlib.resources import files

    import xmlschema

    path = files("musicxml") / "generate_classes" / "musicxml_4_0.xsd"
    return xmlschema.XMLSchema(str(path), allow="local")


@pytest.fixture
def assert_valid(need_module) -> Callable[[str], None]:
    """Return a check against the W3C MusicXML 4.0 schema (the package ``musicxml`` ships it)."""
    need_module("xmlschema")
    need_module("musicxml")

    def check(text: str) -> None:
        errors = [error.reason for error in _schema().iter_errors(text)]
        assert not errors, errors[:3]

    return check
