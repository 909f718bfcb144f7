"""A section for the last time only: what the page and the handout show is what is heard."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from porchswing.band.score import Stroke
from porchswing.chart.unroll import section_title
from porchswing.lesson.drill_source import page_bars
from porchswing.lesson.handout import HandoutSource, handout_sheet
from porchswing.lesson.source import LessonSource
from porchswing.options import Choices
from porchswing.pages.practice.page_data import tune_data
from porchswing.pages.practice.page_lane import (
    PageLane,
    check_lanes,
    lane_places,
    places,
    places_among,
)
from porchswing.pages.practice.practice_page import practice_page
from porchswing.pages.symbols import symbol_parts
from porchswing.take import lead_and_grips, road_of, take_along
from support.chromium import DESKTOP, Timed
from support.practice_lanes import silent_strip

START_AFTER_S = 0.15
"""How long after Play the page begins (web/band/player.mjs)."""

WRITTEN = """\
title: Two Lamps Going Home
key: F
tempo: 160
form: A B A-last
ending: Tag
[A]
plain | F | Gm7 C7 | F F7 | F C7 |
swing | F6 D7 | Gm7 C9 | F6 F7 | F6 C9 |
[A-last]
plain | F | Gm7 C7 | F F7 | F | F |
swing | F6 D7 | Gm7 C9 | Am7 Abdim7 | Gb7 F6 | F6 |
[B]
| A7 | D7 |
[Tag]
| Bb Bdim7 | F{hold} |
"""
"""The last time has a bar more, as a player may write it."""

FOUND = "title: Alone\nkey: C\n[A]\nplain | C | G7 |\n"
"""Our own swaps end the last chorus otherwise, in the swing lane alone."""


def lanes_of(text: str) -> tuple[Any, tuple[PageLane, ...]]:
    """Return a chart and its lanes as a lesson makes them, each lane by itself."""
    source = LessonSource(text, "t.changes", "t")
    lanes = []
    for name in ("swing", "plain"):
        choices = replace(source.choices, lane=name, choruses=2)
        lead, voicing = lead_and_grips(source.chart, choices)
        road = road_of(lead.chart, choices)
        take = take_along(lead.chart, road, voicing, choices)
        lanes.append(PageLane(name, road, voicing, take.score, take.performance))
    return source.lead.chart, tuple(lanes)


@pytest.fixture(scope="module", params=[WRITTEN, FOUND], ids=["written", "found"])
def made(request: pytest.FixtureRequest) -> tuple[Any, tuple[PageLane, ...]]:
    return lanes_of(request.param)


def heard(lane: PageLane) -> list[tuple[float, str]]:
    """Return when each stroke of the chord part is played, in written beats, and its frets."""
    part = next(part for part in lane.score.parts if part.name == "chords")
    strokes = [event for event in part.events if isinstance(event, Stroke)]
    return [(float(stroke.onset_beats), str(stroke.grip)) for stroke in strokes]


def is_held(heard: str, shown: str) -> bool:
    """Whether a stroke is of the grip shown; a finger may be lifted, to be hammered on after."""
    pairs = list(zip(heard, shown, strict=True))
    return sum(one != other for one, other in pairs) <= 1 and all(
        one in (other, "0") for one, other in pairs
    )


def test_every_played_bar_is_shown_with_the_chords_and_grips_that_are_heard(made: Any) -> None:
    chart, lanes = made
    check_lanes(lanes)
    tune = tune_data(chart, lanes, silent_strip(lanes))
    assert any(bar.section == "A-last" for bar in lanes[0].roadmap.bars)
    for lane, shown in zip(lanes, tune["lanes"], strict=True):
        strokes = heard(lane)
        checked = 0
        for bar, told in zip(lane.roadmap.bars, tune["bars"], strict=True):
            slots = shown["slots"][told["place"]]
            printed = [slot["name"][:3] for slot in slots]
            assert printed == [list(symbol_parts(slot.chord)) for slot in bar.slots]
            for beat, frets in strokes:
                at = beat - float(bar.start_beats)
                if 0 <= at < float(bar.beats):
                    due = [slot for slot in slots if slot["at"] <= at + 1e-6][-1]
                    assert is_held(frets, tune["grips"][due["grip"]]["frets"])
                    checked += 1
        assert checked == len(strokes) > 10


def test_lanes_share_their_places_and_the_last_time_has_its_own(made: Any) -> None:
    chart, lanes = made
    shared = lane_places(lanes)
    assert sorted(set(shared)) == list(range(1 + max(shared)))
    bars = lanes[0].roadmap.bars
    last = [place for place, bar in zip(shared, bars, strict=True) if bar.section == "A-last"]
    others = [place for place, bar in zip(shared, bars, strict=True) if bar.section != "A-last"]
    assert set(last).isdisjoint(others)
    assert all(b == a + 1 for a, b in pairwise(last))
    assert section_title(chart, "A-last") == "A, the last time"


def test_a_drills_bars_are_the_pages_bars() -> None:
    """One chorus alone has the last time in A's stead; on the page it stands behind the form."""
    source = LessonSource(WRITTEN, "t.changes", "t")
    once = road_of(source.lead.chart, Choices()).bars
    shown = page_bars(source.lead.chart, Choices())
    assert [bar.section for bar in once][-7:] == ["A-last"] * 5 + ["Tag"] * 2
    assert places_among(once, shown) == (0, 1, 2, 3, 4, 5, 10, 11, 12, 13, 14, 15, 16)
    assert places(shown)[-7:] == (10, 11, 12, 13, 14, 15, 16)


def test_the_page_heads_the_last_time_and_says_now_what_is_heard(
    browser: Any, tmp_path: Path
) -> None:
    """Chromium plays the whole tune in both lanes; Now is compared with the strokes played."""
    chart, lanes = lanes_of(WRITTEN)
    file = tmp_path / "page.html"
    file.write_text(practice_page(chart, lanes), "utf-8")
    headings = re.findall(r'<h3 class="section"[^>]*>([^<]+)</h3>', file.read_text("utf-8"))
    assert headings == ["A", "B", "A", "A, the last time", "Tag"]
    for lane in lanes:
        beats = [
            bar.start_beats + beat for bar in lane.roadmap.bars for beat in range(int(bar.beats))
        ]
        strokes = heard(lane)
        due = [next(frets for at, frets in reversed(strokes) if at <= beat) for beat in beats]
        with Timed(browser, file, **DESKTOP) as opened:
            opened.page.click(f"#lanes [data-value='{lane.name}']")
            opened.page.click("#counts [data-value='none']")
            opened.play()
            now_s, told = 0.0, []
            for beat in beats:
                at_s = START_AFTER_S + lane.score.tempo_map.seconds(beat) + 0.06
                opened.run(at_s - now_s)
                now_s += round(at_s - now_s, 3)
                told.append(opened.page.text_content("#now .frets").partition(" ")[0])
        assert len(told) == len(due)
        assert all(is_held(frets, now) for frets, now in zip(due, told, strict=True))
        assert len({*told}) > 4


EIGHT = """\
title: Eight
key: F
form: A A-last
[A]
plain | F | Gm7 | C7 | F | Bb | F | C7 | F |
swing | F6@5555 | Gm7@3535 | C9@3435 | F6@5555 | Bb6@7768 | F6@5555 | C9@3435 | F6@5555 |
[A-last]
plain | F | Gm7 | C7 | F | Bb | F | C7 | F |
swing | F6@5555 | Gm7@3535 | C9@3435 | F6@5555 | Bb6@7768 | F6@5555 | C9 Gb7 | F6@5555 |
"""


def test_the_handout_shows_the_row_that_the_last_time_changes() -> None:
    source = LessonSource(EIGHT, "t.changes", "t")
    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 160, 2.0, "four"))
    assert [section.name for section in sheet.sections] == ["[A]", "[A, the last time]"]
    first, last = sheet.sections
    assert len(first.rows) == 2
    assert last.note.startswith("bars 5 to 8; the others are as before")
    (row,) = last.rows
    assert [chord.symbol[0] for bar in row.bars for chord in bar.swing] == [
        "B♭",
        "F",
        "C",
        "G♭",
        "F",
    ]
    assert row.bars[0].swing[0].svg, "the row's first grip is drawn, whatever was held before"
    assert "form A A" in sheet.facts[0]


def test_a_tune_of_one_section_shows_it_with_its_last_time() -> None:
    source = LessonSource(FOUND, "t.changes", "t")
    sheet = handout_sheet(HandoutSource(source.lead, source.voicing, (), 160, 2.0, "four"))
    assert [section.name for section in sheet.sections] == ["[A]", "[A, the last time]"]
