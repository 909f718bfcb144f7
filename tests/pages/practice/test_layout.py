"""The page at every size: nothing spills, axe finds nothing, text may be twice as large."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from porchswing.pages.practice.practice_page import practice_page
from support.chromium import Opened, violations
from support.practice_lanes import chart_and_lanes, silent_pages

SIZES = (
    (320, 568),
    (390, 844),
    (568, 320),
    (820, 1180),
    (801, 390),
    (844, 390),
    (1180, 820),
    (1440, 900),
)

LONG = """\
title: The Very Long Evening On The Creaking Porch With Everybody's Cousins \U0001f388\U0001f3b6
by:    Somebody With Rather Many Names And A Middle One
key:   F#
tempo: 132
form:  A B A TheVeryLongStrainThatNobodyEverExpectsOnAPorch
[A]
| F#maj7{slide,roll} D#m7b5{slide,roll} | G#m7 C#13b9 | F#6/9 / A#m7b5/E D#7#9 | G#m7b5/D C#7sus4 |
| F#maj7 D#m7b5 | G#m7 C#13b9 | F#6/9 D#7#9 | G#m7b5/D C#7sus4 |
| F#maj7 D#m7b5 | G#m7 C#13b9 | F#6/9 D#7#9 | G#m7b5/D C#7sus4 |
| F#maj7 D#m7b5 | G#m7 C#13b9 | F#6/9 D#7#9 | F#maj7 |
[B]
| Bmaj7 | Bm(maj7) | A#m7b5/E | D#7b9 | G#m7b5 | C#7#5 | F#maj9 | C#13b9/B |
| Bmaj7 | Bm(maj7) | A#m7b5/E | D#7b9 | G#m7b5 | C#7#5 | F#maj9 | C#13b9/B |
[TheVeryLongStrainThatNobodyEverExpectsOnAPorch]
lane: plain
grips: closed
| G#m7 C#9 | G#m7 C#9 | F#m7 B9 | F#m7 B9 | F#dim7 | Gdim7 | G#dim7 | Adim7 |
| F#dim7 | Gdim7/C# | G#dim7 | Adim7 | F#dim7 | Gdim7 | G#m7b5 | C#7sus4 |
"""
"""64 bars of long names, a bar of four chords, and emoji in the title."""

SPILLED = """() => {
  const outside = (part, box) => {
    const own = part.getBoundingClientRect();
    return own.width > 0 && (own.right > box.right + 1 || own.left < box.left - 1);
  };
  const found = [];
  for (const plank of document.querySelectorAll('.plank')) {
    const box = plank.getBoundingClientRect();
    for (const part of plank.querySelectorAll('.root, .quality, .bass, .frets')) {
      if (outside(part, box)) found.push(plank.innerText);
    }
    const slots = [...plank.querySelectorAll('.chords .chord')]
      .map((chord) => chord.getBoundingClientRect());
    slots.forEach((one, index) => slots.slice(index + 1).forEach((other) => {
      const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
      const along = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
      if (across > 1 && along > 3) found.push(`overprint ${plank.innerText}`);
    }));
  }
  const signs = document.querySelector('.signs').getBoundingClientRect();
  for (const lamp of document.querySelectorAll('.light')) {
    const own = lamp.getBoundingClientRect();
    if (own.width > 0 && own.bottom > signs.top + 1) found.push(`lamp in a sign ${lamp.innerText}`);
  }
  for (const sign of document.querySelectorAll('.sign')) {
    const box = sign.getBoundingClientRect();
    for (const part of sign.querySelectorAll('.root, .quality, .bass, figcaption')) {
      if (outside(part, box)) found.push(sign.innerText);
    }
    for (const part of sign.querySelectorAll('.frets, .drawing')) {
      if (part.getBoundingClientRect().bottom > box.bottom) found.push(`below ${sign.innerText}`);
    }
    const frets = document.createRange();
    frets.selectNodeContents(sign.querySelector('.frets').firstChild);
    const drawing = sign.querySelector('.drawing').getBoundingClientRect();
    const [line, ...more] = frets.getClientRects();
    if (!frets.toString().includes('-') && line) {
      if (more.length) found.push(`broken ${frets}`);
      if (line.right > drawing.left + 1 && drawing.width && line.bottom > drawing.top) {
        found.push(`over the drawing ${frets}`);
      }
    }
  }
  for (const button of document.querySelectorAll('.rail button')) {
    const own = button.getBoundingClientRect();
    if (own.right > innerWidth + 1 || own.bottom > innerHeight + 1) found.push(button.innerText);
    if (button.scrollWidth > button.clientWidth + 1) found.push(`cut ${button.innerText}`);
  }
  const railed = [...document.querySelectorAll('.rail button, .rail output, .rail input')]
    .map((one) => [one, one.getBoundingClientRect()]);
  railed.forEach(([one, box], index) => railed.slice(index + 1).forEach(([other, own]) => {
    const across = Math.min(box.right, own.right) - Math.max(box.left, own.left);
    const along = Math.min(box.bottom, own.bottom) - Math.max(box.top, own.top);
    if (across > 1 && along > 3) found.push(`over each other ${one.id} ${other.id}`);
  }));
  const whole = document.documentElement;
  if (whole.scrollWidth > whole.clientWidth) found.push('scrolls sideways');
  return found;
}"""


@pytest.fixture(scope="module")
def long_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("page") / "practice.html"
    chart, lanes = chart_and_lanes(LONG, choruses=1)
    assert len(lanes[0].roadmap.bars) == 64
    with silent_pages():
        file.write_text(practice_page(chart, lanes), "utf-8")
    return file


@pytest.fixture(scope="module")
def shared(browser: Any, long_page: Path) -> Iterator[Any]:
    with Opened(browser, long_page) as opened:
        yield opened.page


@pytest.fixture
def resized(shared: Any) -> Iterator[Any]:
    """Return one page for tests that only look: each gives it a size, and perhaps a style."""
    yield shared
    shared.evaluate("document.adoptedStyleSheets = [], scrollTo(0, 0)")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_nothing_spills_or_overprints(size: tuple[int, int], resized: Any) -> None:
    """WCAG 2.2, 1.4.10: no scrolling in two directions, at 320 px and wider."""
    resized.set_viewport_size({"width": size[0], "height": size[1]})
    assert resized.evaluate("[innerWidth, innerHeight]") == list(size)
    assert resized.evaluate(SPILLED) == []
    assert "cousins" in resized.inner_text("h1").lower()
    assert "Somebody" in resized.inner_text(".ceiling")


def test_one_box_is_measured_for_the_symbols_of_all_bars(resized: Any) -> None:
    """A box that is measured for every bar made layout of the page take twice as long."""
    measured = """() => [...document.querySelectorAll('.changes, .changes *')]
      .filter((one) => getComputedStyle(one).containerType !== 'normal').map((one) => one.id)"""
    resized.set_viewport_size({"width": 390, "height": 844})
    assert resized.evaluate(measured) == ["boards"]


DOUBLED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync('html { font-size: 200% }');
  document.adoptedStyleSheets = [sheet];
}"""


@pytest.mark.parametrize("size", [(640, 512), (1280, 1024)], ids=["zoomed", "text alone"])
def test_text_may_be_twice_as_large(size: tuple[int, int], resized: Any) -> None:
    """WCAG 2.2, 1.4.4: 1280 px zoomed to 200 %, and the text alone at 200 %."""
    resized.set_viewport_size({"width": size[0], "height": size[1]})
    if size[0] == 1280:
        resized.evaluate(DOUBLED)
    assert [each for each in resized.evaluate(SPILLED) if not each.startswith("cut")] == []
    for name in ("#play", "#speed", "#boards"):
        assert resized.is_visible(name)


@pytest.mark.parametrize("size", [(422, 195), (844, 390), (568, 320)], ids=str)
def test_a_phone_held_sideways_shows_the_tune_in_letters_twice_as_large(
    size: tuple[int, int], resized: Any
) -> None:
    """WCAG 2.2, 1.4.4 and 1.4.10: 844x390 zoomed to 200 %; the letters alone at 200 %."""
    width, height = size
    resized.set_viewport_size({"width": width, "height": height})
    if width > 500:
        resized.evaluate(DOUBLED)
    assert resized.evaluate("document.documentElement.scrollWidth") == width
    resized.locator("[data-place='20']").scroll_into_view_if_needed()
    resized.locator(".rail").evaluate("(rail) => { rail.scrollTop = 0; }")
    top = resized.locator(".rail").bounding_box()["y"]
    assert not 0 <= top < height / 3, "the rail leaves a third of the window to the tune"


@pytest.fixture(scope="module")
def judged(
    browser: Any, long_page: Path, root: Path, need_file: Callable[[Path, str], Path]
) -> Iterator[Any]:
    """Return one page with axe in it for every size and scheme."""
    axe = need_file(root / ".cache/axe-core/axe.min.js", "npm pack axe-core into .cache")
    with Opened(browser, long_page) as opened:
        opened.page.evaluate(axe.read_text("utf-8"))
        yield opened.page


def sizes_and_schemes() -> Iterator[Any]:
    """Return every pair, every size once and each scheme at half of them, the others for CI."""
    for number, size in enumerate(SIZES):
        for scheme in ("light", "dark"):
            marks = pytest.mark.slow if (scheme == "dark") is (number % 2 == 0) else ()
            yield pytest.param(size, scheme, marks=marks, id=f"{size[0]}x{size[1]}-{scheme}")


@pytest.mark.parametrize(("size", "scheme"), list(sizes_and_schemes()))
def test_axe_finds_nothing_at_rest_and_in_the_stand_view(
    size: tuple[int, int], scheme: str, judged: Any
) -> None:
    """axe-core 4.14 (Deque, MPL-2.0), all its rules."""
    judged.set_viewport_size({"width": size[0], "height": size[1]})
    judged.emulate_media(color_scheme=scheme)
    judged.wait_for_timeout(200)  # a bar's colour takes 120 ms to change
    assert judged.evaluate("[innerWidth, innerHeight]") == list(size)
    dark = "matchMedia('(prefers-color-scheme: dark)').matches"
    assert judged.evaluate(dark) is (scheme == "dark")
    assert violations(judged) == []
    judged.click("#open-stand")
    judged.wait_for_selector("body.stand")
    judged.wait_for_timeout(200)
    assert violations(judged) == []
    judged.keyboard.press("Escape")
    judged.wait_for_selector("body:not(.stand)")


def test_it_prints_without_overprint(resized: Any) -> None:
    resized.set_viewport_size({"width": 718, "height": 1000})
    resized.emulate_media(media="print")
    found = resized.evaluate(SPILLED)
    assert [each for each in found if "cut" not in each] == []
    assert not resized.is_visible(".rail")
    resized.emulate_media(media="screen")


SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
    word-spacing: 0.16em !important } p { margin-bottom: 2em !important }`);
  document.adoptedStyleSheets = [sheet];
}"""


@pytest.mark.parametrize("size", [(320, 568), (390, 844), (1440, 900)], ids=str)
def test_text_may_be_spaced_out(size: tuple[int, int], resized: Any) -> None:
    """WCAG 2.2, 1.4.12: its four distances at once."""
    resized.set_viewport_size({"width": size[0], "height": size[1]})
    resized.evaluate(SPACED)
    found = resized.evaluate(SPILLED)
    assert [each for each in found if not each.startswith("cut")] == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_is_on_is_seen_in_the_systems_own_colours(
    scheme: str, browser: Any, page_file: Path
) -> None:
    """Forced colours, as Windows' contrast themes set them: fills differ, words can be read."""
    filled = "(one) => getComputedStyle(one).backgroundColor"
    with Opened(browser, page_file, forced_colors="active", color_scheme=scheme) as opened:
        page = opened.page
        opened.play()
        page.wait_for_selector(".light.lit", timeout=20000)
        lit = page.eval_on_selector(".light.lit", filled)
        assert lit != page.eval_on_selector(".light:not(.lit)", filled)
        mine, heard = (f"#chords [data-value='{each}']" for each in ("mine", "heard"))
        assert page.eval_on_selector(heard, filled) != page.eval_on_selector(mine, filled)
        assert page.eval_on_selector(
            "#play", "(one) => getComputedStyle(one).forcedColorAdjust"
        ) == ("none"), "the system lays no plate of its own under the word"
