"""Words and playing marks stand on the boards, and the script is given the marks."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

from porchswing.pages import practice
from porchswing.pages.practice.board_html import boards_html, line_html
from porchswing.pages.practice.page_data import numbered, tune_data
from support.practice_lanes import chart_and_lanes, silent_strip

TUNE = """\
title: Porch Light
key: F
form: A A B
[A]
plain   | F | Dm |
swing   | F6{slide} | Dm7{push,hold} |
words   | Lan-tern street | I'm walk- |
words 2 | <b>Moth | up |
[B]
plain   | Bb | F |
swing   | Bb6 | F6 |
words   | one | |
words 2 | two | שיר |
"""


def root_of_pages() -> Path:
    """Return the folder of the practice page's modules."""
    return Path(practice.__path__[0])


def boards(text: str) -> list[str]:
    """Return the HTML of every plank."""
    chart, lanes = chart_and_lanes(text)
    html = boards_html(chart, lanes, numbered(lanes), line_html(lanes, chart.key, None))
    return html.split('<div class="plank"')[1:]


def seen(plank: str, name: str) -> str:
    """Return the text of what has a class in a plank."""
    found = re.search(rf'<span class="{name}">(.*?)<span class="tag">|$', plank)
    return unescape(re.sub(r"<[^>]*>", "", found[1] or "")).strip() if found else ""


def test_every_time_of_a_section_shows_its_verse() -> None:
    words = [seen(plank, "words") for plank in boards(TUNE)]
    assert words[:4] == [
        "words: Lantern street",
        "words: I'm walk-",
        "words: <b>Moth",
        "words: up",
    ]
    assert words[4] == "words: 1. one 2. two", "a section sung once has all its verses"
    assert words[5] == "words: 2. שיר"
    assert not any("<b>M" in plank for plank in boards(TUNE))


def test_a_wide_page_gives_each_syllable_its_share_of_the_bar() -> None:
    """A bar has 24 shares; the hyphen inside a word is the style's, so that texts stay whole."""
    first, second = boards(
        "[A]\nplain | F C | C | F |\nswing | F6 C9 | C9 / F6 C9 | F6 |\n"
        "words | Lan- tern * street | a b c d | far _ _ a- |\n"
    )[:2]
    cells = re.findall(r'<span class="(w-[^"]+)">([^<]*)</span>', first)
    assert cells == [("w-6 joined", "Lan"), ("w-12", "tern "), ("w-6", "street ")]
    assert "by-beat" not in second, "three chords stand in two rows"
    style = (root_of_pages() / "web" / "style" / "layouts.css").read_text("utf-8")
    for share in range(1, 25):
        assert f".by-beat > .w-{share} {{ flex-grow: {share}; }}" in style


def test_marks_stand_on_the_boards_in_the_handouts_words() -> None:
    first, second = boards(TUNE)[:2]
    slide = re.search(r'<span class="mark"> (slide in from \d{4})</span>', first)
    assert slide is not None
    assert '<span class="mark"> an eighth early, let it ring</span>' in second


def test_now_and_next_are_given_the_marks() -> None:
    chart, lanes = chart_and_lanes(TUNE)
    data = tune_data(chart, lanes, silent_strip(lanes))
    lane = next(each for each in data["lanes"] if each["name"] == "swing")
    said = [slot.get("said", "") for bar in lane["slots"] for slot in bar]
    assert said[0].startswith("slide in from ")
    assert said[1] == "an eighth early, let it ring"
    assert said[4] == ""


def test_a_chart_without_words_or_marks_has_neither() -> None:
    html = "".join(boards("[A]\nplain | F | C7 |\nswing | F6 | C9 |\n"))
    assert 'class="words"' not in html
    assert 'class="mark"' not in html
