"""The stand view of a set in real Chromium: stepped through, offline, whole without scripts."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from porchswing.pages.chord_sheet.chord_sheet import ChordSection, ChordSheet
from porchswing.pages.set_page import PageTune, set_page
from support.chromium import PHONE, Opened, violations

HOSTILE = "</title><script>document.title = 'taken'</script><img src=x onerror=alert(1)>"
WIDE = {"viewport": {"width": 1440, "height": 900}}
LINES = (("Fmaj7 Bbm6", "|: Gm7 C7", "A7 / / D7b9 :|x3", "N.C."),)


def tune(title: str, sections: int = 1) -> PageTune:
    rows = tuple(ChordSection(f"Part {n}", LINES * 3) for n in range(sections))
    counts = (("1", 0.0), ("2", 0.2), ("3", 0.4))
    sheet = ChordSheet(title, "", "A B", rows)
    return PageTune(title, "Bb", "4/4", 138.0, 1, 62.0, counts, HOSTILE, sheet)


@pytest.fixture
def page_file(tmp_path: Path) -> Path:
    file = tmp_path / "set.html"
    tunes = [tune("First Light"), tune(HOSTILE), tune("Long One", 12)]
    file.write_text(set_page(HOSTILE, "3 tunes, 8:00 in all", tunes), "utf-8")
    return file


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_axe_finds_nothing_and_no_text_is_code(
    scheme, size, browser, page_file, root, need_file
) -> None:
    """axe-core 4.14 (Deque, MPL-2.0), all its rules, on the list and on a tune."""
    axe = need_file(root / ".cache/axe-core/axe.min.js", "npm pack axe-core into .cache")
    with Opened(browser, page_file, color_scheme=scheme, bypass_csp=True, **size) as opened:
        page = opened.page
        assert page.title() == HOSTILE
        assert page.locator("img").count() == 0
        page.evaluate(axe.read_text("utf-8"))
        for _ in range(2):
            assert page.evaluate(
                "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
            )
            assert violations(page) == []
            page.click("#on")


FOLLOWED = "!location.hash || document.querySelector('.step.here')?.id === location.hash.slice(1)"
"""Whether the page shows the step of its address, which an event tells it."""

SCROLLED = "() => { window.still = new Promise((done) => addEventListener('scrollend', done)); }"


def seen(page) -> list[str]:
    deadline = time.monotonic() + 10  # asked from here: the page's policy forbids it to poll
    while not page.evaluate(FOLLOWED):
        assert time.monotonic() < deadline, "the page does not show the step of its address"
        page.wait_for_timeout(20)
    return page.locator(".step:visible").evaluate_all("all => all.map((step) => step.id)")


def test_keys_and_buttons_step_through_and_the_address_keeps_the_place(browser, page_file) -> None:
    with Opened(browser, page_file, **WIDE) as opened:
        page = opened.page
        assert seen(page) == ["order"]
        assert page.locator("#back").is_disabled()
        page.keyboard.press("ArrowRight")
        assert seen(page) == ["tune-1"]
        assert page.evaluate("document.activeElement.id") == "tune-1"
        assert page.locator("#place").text_content() == "1 of 3"
        page.click("#on")
        assert seen(page) == ["tune-2"]
        page.reload()
        assert seen(page) == ["tune-2"]
        page.keyboard.press("ArrowLeft")
        assert seen(page) == ["tune-1"]
        page.keyboard.press("Home")
        assert seen(page) == ["order"]
        page.click("a[href='#tune-3']")
        assert seen(page) == ["tune-3"]
        assert page.locator("#on").is_disabled()
        page.keyboard.press("ArrowRight")
        assert seen(page) == ["tune-3"]


def test_page_down_goes_down_a_long_tune_before_it_leaves_it(browser, page_file) -> None:
    small = {"viewport": {"width": 800, "height": 500}}
    with Opened(browser, page_file, bypass_csp=True, **small) as opened:
        page = opened.page
        page.goto(f"{page_file.as_uri()}#tune-3")
        page.evaluate(SCROLLED)
        page.keyboard.press("PageDown")
        page.evaluate("window.still.then(() => {})")
        assert page.evaluate("scrollY > 0")
        assert seen(page) == ["tune-3"]
        page.evaluate("scrollTo(0, 0)")
        page.keyboard.press("PageUp")
        assert seen(page) == ["tune-2"]
        page.evaluate("scrollTo(0, document.body.scrollHeight)")
        page.keyboard.press("PageDown")
        assert seen(page) == ["tune-3"]


def test_a_swipe_steps_and_a_scroll_does_not(browser, page_file) -> None:
    swipe = """([x, y]) => {
      const at = (clientX, clientY) => [
        new Touch({ identifier: 1, target: document.body, clientX, clientY }),
      ];
      const send = (kind, touches) =>
        document.body.dispatchEvent(new TouchEvent(kind, { ...touches, bubbles: true }));
      send("touchstart", { touches: at(200, 300) });
      send("touchend", { changedTouches: at(x, y) });
    }"""
    with Opened(browser, page_file, **PHONE) as opened:
        page = opened.page
        page.evaluate(swipe, [80, 310])
        assert seen(page) == ["tune-1"]
        page.evaluate(swipe, [190, 80])
        assert seen(page) == ["tune-1"]
        page.evaluate(swipe, [330, 300])
        assert seen(page) == ["order"]


def test_the_count_is_shown_in_time(browser, page_file) -> None:
    with Opened(browser, page_file, bypass_csp=True, **WIDE) as opened:
        page = opened.page
        page.keyboard.press("ArrowRight")
        assert seen(page) == ["tune-1"]
        page.evaluate(
            """() => {
              window.shown = [];
              const button = document.querySelector(".here .count button");
              window.due = JSON.parse(button.dataset.counts).map(([, seconds]) => seconds * 1000);
              button.addEventListener("click", (event) => { window.clicked = event.timeStamp; });
              const output = document.querySelector(".here .count output");
              new MutationObserver(() => window.shown.push([output.textContent, performance.now()]))
                .observe(output, { childList: true });
            }"""
        )
        page.click(".here .count button")
        page.wait_for_function("window.shown.some(([words]) => words === '3')")
        shown = [(words, at) for words, at in page.evaluate("window.shown") if words]
        assert [words for words, _ in shown] == ["1", "2", "3"]
        clicked, due = page.evaluate("window.clicked"), page.evaluate("window.due")
        assert due[2] - due[0] == pytest.approx(400, abs=1)
        # a timer may be late on a busy machine, and is never early but for its rounding
        assert all(at - clicked >= wait - 1 for (_, at), wait in zip(shown, due[:3], strict=True))


def test_without_scripts_every_tune_is_there_in_order(browser, page_file) -> None:
    with Opened(browser, page_file, java_script_enabled=False, **WIDE) as opened:
        page = opened.page
        assert page.locator(".step:visible").count() == 4
        assert page.locator("button:visible").count() == 0
        page.click("a[href='#tune-2']")
        assert page.url.endswith("#tune-2")
