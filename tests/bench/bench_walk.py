"""A lesson made on the bench by somebody new to it, every touch and key counted.

A 16-bar tune is typed from nothing with three mistakes, which the hint buttons mend; a depth is
chosen, four swaps and three grips by ear, a stroke of the strum is changed, and the lesson is
made. Prints what each step took and writes a picture of each at every size: look at them.

    python tests/bench/bench_walk.py -o pictures --sizes 1440x900 820x1180 390x844
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from playwright.sync_api import sync_playwright

from support.bench_running import Running
from support.chromium import ARGS

SIZES = ("1440x900", "820x1180", "390x844")
TYPED = """title: Kettle on the Stove
key: G
tmpo: 112
strum: charlston

[A]
| G | Em7 | Am7 | D7 |
| G | G7 | C | Cm |

[B]
| Bm7 | E7 | Am7 | D7 |
| G Em7 | Am7 D7 | G | Gmja7 |
"""
MISTAKES = 3


class Newcomer:
    """Somebody at the bench: what they do is counted, timed and photographed."""

    def __init__(self, page: Any, path: Path, pictures: Path, size: str) -> None:
        self.page, self.path, self.pictures, self.size = page, path, pictures, size
        self.touches = self.keys = self.steps = 0
        self.begun = time.monotonic()

    def touch(self, selector: str, number: int = 0) -> None:
        self.page.locator(selector).nth(number).click()
        self.touches += 1

    def press(self, key: str, times: int = 1) -> None:
        for _ in range(times):
            self.page.keyboard.press(key)
        self.keys += times

    def half(self, shown: str) -> None:
        """On a narrow screen, turn to the text or to the bars."""
        button = self.page.locator(f"#show-{shown}")
        if button.is_visible() and button.get_attribute("aria-pressed") != "true":
            self.touch(f"#show-{shown}")

    def text(self) -> str:
        return self.path.read_text("utf-8") if self.path.exists() else ""

    def until(self, so: Any, seconds: float = 60) -> None:
        end = time.monotonic() + seconds
        while not so():
            assert time.monotonic() < end, self.text()
            self.page.wait_for_timeout(50)

    def done(self, words: str) -> None:
        self.steps += 1
        picture = self.pictures / f"{self.size}-{self.steps:02}.png"
        self.page.screenshot(path=picture)
        seconds = time.monotonic() - self.begun
        print(f"{self.size} {self.steps:2} {seconds:5.1f} s, {self.touches} touches, "
              f"{self.keys} keys: {words}")  # fmt: skip

    # --- the lesson, step by step ---------------------------------------------------------

    def begin(self) -> None:
        self.page.wait_for_selector("#door:not([hidden])")
        self.done("which tune?")
        self.page.fill("#shelves form input", self.path.stem)
        self.keys += len(self.path.stem)
        self.press("Enter")
        self.page.wait_for_selector("#work:not([hidden])")
        self.half("text")
        self.page.wait_for_selector(".cm-content")
        self.done("a new one")

    def type(self) -> None:
        self.touch(".cm-content")
        self.press("Control+a")
        for line in TYPED.split("\n"):
            self.page.keyboard.type(line, delay=2)
            self.keys += len(line)
            self.page.keyboard.press("Escape")  # no completion is taken by the end of a line
            self.press("Enter")
        self.until(lambda: "Gmja7" in self.text())
        self.done("typed from nothing")

    def mend(self) -> None:
        self.page.wait_for_selector(".problem .mend")
        self.done("the first mistakes, under their lines")
        for _ in range(MISTAKES):
            before = self.text()
            self.page.wait_for_selector(".problem .mend")
            self.touch(".problem .mend")
            self.until(lambda before=before: self.text() != before)
            self.page.wait_for_timeout(700)
        self.page.wait_for_selector(".problem:not(.doubtful)", state="detached")
        self.done("mended by their buttons")

    def depth(self) -> None:
        self.half("boards")
        self.page.wait_for_selector(".chord")
        self.page.locator("#depth").focus()
        self.press("ArrowRight")
        self.page.wait_for_timeout(800)
        self.done("depth 3")
        self.press("ArrowLeft")
        self.page.wait_for_timeout(800)

    def choose(self, kind: int, bars: tuple[int, ...]) -> None:
        for number, bar in enumerate(bars):
            self.touch(f".chord:has-text('bar {bar}, beat')")
            self.page.wait_for_selector("[role=option]")
            if self.page.locator(".kinds button").nth(kind).get_attribute("aria-pressed") != "true":
                self.touch(".kinds button", kind)
            self.page.wait_for_selector(".offer.ready >> nth=0", timeout=60000)
            self.press("ArrowDown")
            self.page.wait_for_timeout(500)
            self.press("b", 2)
            if number == 0:
                self.done(f"{('swaps', 'grips')[kind]} offered at bar {bar}")
            before = self.text()
            self.touch("#take")
            self.until(lambda before=before: self.text() != before)
        self.done(f"{len(bars)} {('swaps', 'grips')[kind]} taken")

    def strum(self) -> None:
        self.touch("summary:has-text('The strum')")
        self.page.wait_for_selector(".cell")
        self.page.locator("summary:has-text('The strum')").scroll_into_view_if_needed()
        self.done("the strum, stroke by stroke")
        self.touch(".cell", 1)
        self.touch(".strokes button", 4)
        self.page.wait_for_timeout(200)
        self.done("a stroke touched")

    def make(self) -> None:
        self.touch("summary:has-text('Make the lesson')")
        self.page.wait_for_selector("#make")
        self.page.fill("label:has-text('For (a name)') input", "Rosie")
        self.page.fill("label:has-text('From bar') input", "9")
        self.page.fill("label:has-text('to bar') input", "12")
        self.keys += 8
        self.page.locator("#make").scroll_into_view_if_needed()
        self.done("what the student gets")
        self.touch("#make")
        self.page.wait_for_selector("a:has-text('Open it')", timeout=900000)
        self.page.locator("a:has-text('Open it')").scroll_into_view_if_needed()
        self.done(f"made: {self.page.inner_text('p:has(> a)')}")

    def walk(self) -> None:
        self.begin()
        self.type()
        self.mend()
        self.depth()
        self.choose(0, (2, 4, 6, 10))
        self.choose(1, (3, 9, 12))
        self.strum()
        self.make()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("-o", "--output", type=Path, required=True)
    options.add_argument("--sizes", nargs="*", default=SIZES)
    given = options.parse_args()
    given.output.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        for size in given.sizes:
            width, height = (int(part) for part in size.split("x"))
            with tempfile.TemporaryDirectory() as folder, Running(Path(folder)) as running:
                page = browser.new_page(
                    viewport={"width": width, "height": height}, has_touch=width < 1000
                )
                page.set_default_timeout(30000)
                page.on("pageerror", lambda error: print(f"  {error}"))
                page.goto(running.address)
                Newcomer(page, Path(folder) / "kettle.changes", given.output, size).walk()
                page.close()
        browser.close()


if __name__ == "__main__":
    main()
