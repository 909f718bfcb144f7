"""The page while it plays, in real Chromium: jumps, places kept, keys, what is remembered."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from porchswing.errors import OptionError
from porchswing.pages.practice.practice_page import practice_page
from porchswing.pages.practice.task import parse_task
from support.chromium import DESKTOP, PHONE, Opened, Timed
from support.practice_lanes import WALTZ, chart_and_lanes, silent_pages

SMALL = {"viewport": {"width": 320, "height": 568}, "has_touch": True, "is_mobile": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True, "is_mobile": True}
SIDEWAYS = {"viewport": {"width": 844, "height": 390}, "has_touch": True, "is_mobile": True}


@pytest.fixture
def opened(request: pytest.FixtureRequest, browser: Any, page_file: Path) -> Iterator[Opened]:
    with Opened(browser, page_file, **request.param) as opened:
        yield opened


@pytest.fixture
def timed(request: pytest.FixtureRequest, browser: Any, page_file: Path) -> Iterator[Timed]:
    with Timed(browser, page_file, **request.param) as timed:
        yield timed


def on(fixture: str, *sizes: dict[str, Any]) -> pytest.MarkDecorator:
    """Return a mark that opens the page at some sizes."""
    return pytest.mark.parametrize(
        fixture, sizes, indirect=True, ids=lambda size: size["viewport"]["width"]
    )


def in_ci(*sizes: dict[str, Any]) -> Iterator[Any]:
    """Yield sizes that are for CI alone."""
    return (pytest.param(size, marks=pytest.mark.slow) for size in sizes)


def once_on(size: dict[str, Any], *others: dict[str, Any]) -> pytest.MarkDecorator:
    """Return a mark that plays at one size, in CI at others too, where the same must be heard."""
    return on("timed", size, *in_ci(*others))


def playing(page: Any) -> int | None:
    place = page.evaluate("document.querySelector('[aria-current]')?.dataset.place ?? null")
    return None if place is None else int(place)


def wait_until(page: Any, is_so: Callable[[], bool], seconds: float = 12.0) -> None:
    until = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < until, "it never came"
        page.wait_for_timeout(25)


def touch(page: Any, place: int) -> None:
    page.evaluate(f"document.querySelector('.plank[data-place=\"{place}\"]').click()")


@once_on(SMALL, DESKTOP)
def test_a_touched_bar_comes_with_the_next_bar_line(timed: Timed) -> None:
    page = timed.page
    page.click("[data-value='none']") if page.is_visible("#counts") else None
    page.locator("#speed").fill("150")
    timed.play()
    timed.run_to(1)
    touch(page, 9)
    assert "Bar 10 comes with the next bar line" in page.inner_text("#loop-words")
    timed.run_to(10)
    assert timed.places() == [0, 1, 9, 10]


def test_a_touch_just_before_the_bar_line_is_still_in_time(browser: Any, page_file: Path) -> None:
    """Beats already handed to the sound card are taken back: no bar is played in between."""
    with Timed(browser, page_file, **DESKTOP) as timed:
        page = timed.page
        page.click("#counts [data-value='none']")
        page.locator("#speed").fill("60")
        timed.play()
        timed.run_until("document.querySelector('.light.lit')?.textContent === '4'")
        timed.run(0.38)  # a beat is 725 ms, the plan runs 400 ms ahead
        assert timed.places() == [0]
        touch(page, 20)
        timed.run_to(20)
        assert timed.places() == [0, 20]


@once_on(PHONE, TABLET)
def test_stop_keeps_the_place_and_play_goes_on_from_it(timed: Timed) -> None:
    page = timed.page
    page.locator("#speed").fill("150")
    touch(page, 6)
    timed.play()
    timed.run_to(7)
    page.click("#play")
    assert page.inner_text("#loop-words") == "Starts at bar 8."
    name = page.inner_text("#now .name")
    assert page.inner_text("[data-place='7'] .chords .chord >> nth=0") == name
    played = len(timed.places())
    timed.play()
    timed.run_until("document.querySelector('[aria-current]') !== null")
    assert timed.places()[played:] == [7]


@once_on(SIDEWAYS, DESKTOP)
def test_back_a_bar_to_the_loops_start_and_to_the_top(timed: Timed) -> None:
    page = timed.page
    page.locator("#speed").fill("150")
    for place in (8, 11):
        if place == 8:
            page.click("#loop")
        touch(page, place)
    assert page.inner_text("#loop-words") == "Loop: bars 9 to 12."
    timed.play()
    timed.run_to(10)
    page.click("#back-bar")
    timed.run_to(9)
    page.click("#loop-start")
    timed.run_to(8)
    page.click("#top")
    timed.run_to(0)
    assert "Loop" not in page.inner_text("#loop-words"), "bar 1 is not in the loop"


def test_next_is_always_another_grip_and_counts_down(browser: Any, page_file: Path) -> None:
    with Timed(browser, page_file, **DESKTOP) as timed:
        page = timed.page
        page.click("#lanes [data-value='plain']")
        page.click("#counts [data-value='none']")
        touch(page, 16)  # | A7 | % | D7 …: two bars of one grip
        page.locator("#speed").fill("80")
        page.evaluate(
            """() => {
              window.told = [];
              window.pairs = [];
              const frets = (id) => document.querySelector(`${id} .frets`).textContent;
              new MutationObserver(() => {
                window.told.push(document.querySelector('#to-go').textContent);
                window.pairs.push([frets('#now'), frets('#next')]);
              }).observe(document.querySelector('#to-go'), { childList: true });
            }"""
        )
        timed.play()
        timed.run_to(18)
        told = page.evaluate("window.told")
        assert all(now != after for now, after in page.evaluate("window.pairs"))
    assert told[:7] == [f"in {beats}" for beats in range(7, 0, -1)], "8 stood there before Play"


def test_space_plays_whatever_has_the_focus_and_arrows_change_the_tempo(
    browser: Any, page_file: Path
) -> None:
    with Opened(browser, page_file, **DESKTOP) as opened:
        page = opened.page
        for target in ("#faster", "#modes button", "#loop", ".plank", "#speed"):
            page.focus(target)
            page.keyboard.press(" ")
            page.wait_for_selector("body.sounding", timeout=20000)
            page.keyboard.press(" ")
            page.wait_for_selector("body:not(.sounding)")
        assert "100 %" in page.inner_text("#speed-words")
        page.focus(".plank")
        page.keyboard.press("ArrowUp")
        assert "105 %" in page.inner_text("#speed-words")
        page.focus("#modes button")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        assert "95 %" in page.inner_text("#speed-words")
        keys = page.inner_text(".keys")
        assert all(key in keys for key in ("Space", "[ ]", "↑ ↓", "Esc"))


CLOSE_COVERS = """() => {
  const close = document.querySelector('#leave-stand').getBoundingClientRect();
  return [...document.querySelectorAll('.sign, .light')].filter((item) => {
    const box = item.getBoundingClientRect();
    return box.left < close.right && box.right > close.left
      && box.top < close.bottom && box.bottom > close.top;
  }).map((item) => item.className);
}"""
"""What of the stand view its Close button lies on."""


@on("opened", SMALL, SIDEWAYS, TABLET, *in_ci(PHONE, DESKTOP))
def test_the_stand_view_fills_the_screen_and_shows_nothing_else(opened: Opened) -> None:
    page = opened.page
    page.click("#open-stand")
    page.wait_for_timeout(300)
    seen = page.evaluate(
        """() => [...document.querySelectorAll('body *')].filter((item) => {
          const box = item.getBoundingClientRect();
          return item.checkVisibility() && box.width > 2 && box.height > 2
            && !item.closest('.stage, .ceiling') && !item.querySelector('.stage');
        }).map((item) => item.className || item.nodeName)"""
    )
    assert seen == []
    covered = page.evaluate(
        """() => ['#now', '#next'].reduce((sum, sign) => {
          const box = document.querySelector(sign).getBoundingClientRect();
          return sum + box.width * box.height;
        }, 0) / (innerWidth * innerHeight)"""
    )
    assert covered > 0.7
    assert page.evaluate("document.querySelector('.ceiling').getBoundingClientRect().width") <= 2
    inside = page.evaluate(
        """() => ['#now', '#next'].every((id) => {
          const sign = document.querySelector(id);
          const box = sign.getBoundingClientRect();
          return [...sign.querySelectorAll('.root, .quality, .drawing > svg')]
            .every((part) => { const own = part.getBoundingClientRect();
              return own.left >= box.left && own.right <= box.right && own.bottom <= box.bottom; });
        })"""
    )
    assert inside
    assert page.evaluate(CLOSE_COVERS) == []
    page.click("#now")
    page.wait_for_selector("body.sounding", timeout=20000)
    page.keyboard.press("Escape")
    page.wait_for_timeout(200)
    assert page.is_visible("#boards")


ROOTS_PX = """async () => {
  document.body.classList.add("stand");
  const pen = document.createElement("canvas").getContext("2d");
  const found = [];
  for (const plank of document.querySelectorAll(".plank")) {
    plank.click();
    for (const root of document.querySelectorAll(".sign .root")) {
      const { fontWeight, fontSize, fontFamily } = getComputedStyle(root);
      pen.font = `${fontWeight} ${fontSize} ${fontFamily}`;
      found.push(pen.measureText("B").actualBoundingBoxAscent);
    }
  }
  return found;
}"""
ARC_AT_1_5_M = 25.4 / 1500 * 180 / math.pi * 60
"""Minutes of arc that an inch spans at 1.5 m."""


@pytest.mark.parametrize(
    ("size", "inch_px", "least"), [(PHONE, 153.3, 20), (TABLET, 132, 35)], ids=["phone", "tablet"]
)
def test_now_and_next_can_be_read_at_one_and_a_half_metres(
    size: Any, inch_px: float, least: float, browser: Any, page_file: Path
) -> None:
    """Capital letters of every chord of the tune; 20 minutes are comfortable (from memory)."""
    with Opened(browser, page_file, **size) as opened:
        heights = opened.page.evaluate(ROOTS_PX)
    assert len(heights) > 60
    assert min(heights) / inch_px * ARC_AT_1_5_M >= least


def test_tempo_loop_chords_and_levels_are_remembered(browser: Any, page_file: Path) -> None:
    with Opened(browser, page_file, **DESKTOP) as opened:
        page = opened.page
        page.locator("#speed").fill("70")
        page.click("#modes [data-value='fade']")
        page.click("#chords [data-value='softer']")
        page.click("#loop")
        touch(page, 4)
        touch(page, 7)
        page.get_by_label("Bass level").fill("40")
        opened.reload()
        assert "70 %" in page.inner_text("#speed-words")
        assert page.inner_text("#loop-words") == "Loop: bars 5 to 8."
        assert page.get_attribute("#modes [data-value='fade']", "aria-pressed") == "true"
        assert page.get_attribute("#chords [data-value='softer']", "aria-pressed") == "true"
        assert page.get_by_label("Bass level").input_value() == "40"


def test_an_address_carries_a_task(browser: Any, page_file: Path) -> None:
    task = parse_task("bars 21-28 at 70 %, chords mine")
    with Opened(browser, page_file, **DESKTOP) as opened:
        page = opened.page
        page.goto(f"{page_file.as_uri()}#{task.address}")
        opened.reload()
        assert page.inner_text("#task-words") == str(task)
        assert page.inner_text("#loop-words") == "Loop: bars 21 to 28."
        assert "70 %" in page.inner_text("#speed-words")
        assert page.get_attribute("#chords [data-value='mine']", "aria-pressed") == "true"


def test_a_task_made_with_the_page_is_shown_and_taken_once(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "task.html"
    task = parse_task("bars 2-3 at 60 %")
    with silent_pages():
        file.write_text(practice_page(*chart_and_lanes(WALTZ), task=task), "utf-8")
    with Opened(browser, file, **PHONE) as opened:
        page = opened.page
        assert page.inner_text("#task-words") == "bars 2 to 3 at 60 %"
        assert page.inner_text("#loop-words") == "Loop: bars 2 to 3."
        page.click("#clear")
        opened.reload()
        assert "Loop" not in page.inner_text("#loop-words"), "what was changed since stays"
        page.click("#start-task")
        assert page.inner_text("#loop-words") == "Loop: bars 2 to 3."


def test_a_task_for_bars_the_tune_does_not_have_is_refused() -> None:
    chart, lanes = chart_and_lanes(WALTZ)
    with pytest.raises(OptionError, match="bars must be 1 to 8, got 9"):
        practice_page(chart, lanes, task=parse_task("bars 2-9"))


def test_chords_mine_silences_them_and_softer_is_softer(browser: Any, page_file: Path) -> None:
    with Opened(browser, page_file, **DESKTOP) as opened:
        page = opened.page
        page.evaluate(
            """() => {
              window.glides = [];
              const own = AudioParam.prototype.setTargetAtTime;
              AudioParam.prototype.setTargetAtTime = function (value, ...rest) {
                window.glides.push(value);
                return own.call(this, value, ...rest);
              };
            }"""
        )
        opened.play()
        heard = {}
        for value in ("softer", "mine", "heard"):
            page.evaluate("window.glides.length = 0")
            page.click(f"#chords [data-value='{value}']")
            heard[value] = set(page.evaluate("window.glides"))
    assert 0.3 in heard["softer"]
    assert 0 in heard["mine"]
    assert heard["heard"].isdisjoint({0, 0.3})


def test_an_interruption_keeps_the_tune_and_it_goes_on(browser: Any, page_file: Path) -> None:
    """As after a call: the audio clock stops, then a touch brings it back where it was."""
    with Opened(browser, page_file, **DESKTOP) as opened:
        opened.context.add_init_script(
            "const Own = window.AudioContext;"
            "window.AudioContext = class extends Own {"
            " constructor(...all) { super(...all); window.heard = this; } };"
        )
        page = opened.page
        opened.reload()
        page.click("#counts [data-value='none']")
        page.locator("#speed").fill("150")
        opened.play()
        wait_until(page, lambda: playing(page) == 1)
        page.evaluate("window.heard.suspend()")
        page.wait_for_timeout(300)
        assert "Interrupted" in page.inner_text("#turn")
        page.wait_for_timeout(2500)  # had it gone on, it were past two bars by now
        assert playing(page) in (1, 2)
        page.mouse.click(5, 5)
        wait_until(page, lambda: playing(page) == 3)
        assert page.is_visible("body.sounding #play")


def test_the_title_goes_with_the_touch_however_long_the_sound_takes(
    browser: Any, page_file: Path
) -> None:
    """What moves half a second after a touch counts as a layout shift (Layout Instability API)."""
    with Opened(browser, page_file, **DESKTOP) as opened:
        height = "document.querySelector('.ceiling').getBoundingClientRect().height"
        assert opened.page.evaluate(height) > 40
        at_once = f"document.querySelector('#play').click(), {height}"
        assert opened.page.evaluate(at_once) == 1
        opened.page.wait_for_selector("body.sounding:not(.starting)", timeout=20000)
        assert opened.page.evaluate(height) == 1


def test_the_page_is_painted_before_its_script_runs_and_no_touch_is_lost(
    browser: Any, page_file: Path
) -> None:
    """A frame that is held back is a page not yet painted; a hidden page waits for none."""
    hold = "window.requestAnimationFrame = (draw) => { window.draw = draw; };"
    hidden = "Object.defineProperty(Document.prototype, 'hidden', { get: () => true });"
    for script, is_waiting in ((hold, True), (hold + hidden, False)):
        context = browser.new_context(offline=True, **PHONE)
        page = context.new_page()
        page.add_init_script(script)
        page.goto(page_file.as_uri())
        assert (page.get_attribute("html", "class") == "live waking") is is_waiting
        assert (page.inner_text("#speed-words").strip() == "") is is_waiting
        if is_waiting:
            page.click("#loop")
            assert page.get_attribute("#loop", "aria-pressed") == "false"
            page.evaluate("window.draw(0)")
            page.wait_for_selector("html:not(.waking)")
            assert page.get_attribute("#loop", "aria-pressed") == "true"
        context.close()
