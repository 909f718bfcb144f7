"""The page about the chart language tells the truth: its charts read, its words are known."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from porchswing.chart.language.header import IN_SECTIONS, KEYS
from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import MARKS
from porchswing.chart.unroll import unroll
from porchswing.theory.symbols import parse_chord


@pytest.fixture
def page(root: Path) -> str:
    return (root / "demos" / "README.md").read_text("utf-8")


def test_its_charts_read(page: str) -> None:
    charts = re.findall(r"```changes\n(.*?)```", page, re.DOTALL)
    assert len(charts) == 4
    for text in charts:
        assert unroll(parse_chart(text)).bars


def test_every_key_and_mark_is_there(page: str) -> None:
    table = page.partition("## The header")[2].partition("## Sections")[0]
    assert {row.key for row in KEYS} <= set(re.findall(r"`(\w+)`", table))
    inside = page.partition("## Sections")[2].partition("## Bars")[0]
    assert set(IN_SECTIONS) == set(re.search(r"`(strum [a-z ]+)`", inside)[1].split())
    for mark in MARKS:
        assert f"{{{mark}}}" in page


def test_its_chords_are_chords(page: str) -> None:
    part = page.partition("## Chords")[2].partition("Signs right after")[0]
    symbols = re.findall(r"`([^`]+)`", part)
    assert len(symbols) > 10
    for symbol in symbols:
        assert parse_chord(symbol)
