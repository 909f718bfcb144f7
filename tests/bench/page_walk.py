"""Every action of the practice page at every size, as a student would do it, on a slow phone.

Drives Chromium through playwright at 320, 390, 820 and 1,440 px, upright and sideways, light and
dark, the processor slowed down six times (or as asked), and checks what each action should do.
Prints first paint, layout shift, time from Play to sound and frames a second for every size, and
writes a picture of each: look at them. axe-core is asked where its file is given.

    python tests/bench/page_walk.py demos/lantern_street_stroll.changes -o pictures --sizes 390x844
"""

from __future__ import annotations

import argparse
import itertools
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from playwright.sync_api import sync_playwright

from porchswing.pages.practice.practice_page import practice_page
from support.chromium import ARGS, violations
from support.practice_lanes import chart_and_lanes

SIZES = ("320x568", "568x320", "390x844", "844x390", "820x1180", "1180x820", "1440x900", "900x1440")
USUALLY_SLOWER = 6

WATCH = """
window.shift = 0; window.sounded = null; window.pressed = null;
new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shift += entry.value;
}).observe({ type: "layout-shift", buffered: true });
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when) {
  const at = performance.now() + 1000 * (Math.max(0, when - this.context.currentTime));
  if (window.sounded === null) window.sounded = at + 1000 * (this.context.outputLatency || 0);
  return start.apply(this, arguments);
};
addEventListener("click", (event) => {
  if (event.target.closest("#play")) window.pressed = event.timeStamp;
}, true);
"""
FRAMES = """(seconds) => new Promise((done) => {
  const begun = performance.now();
  let count = 0;
  const frame = (now) => {
    count += 1;
    if (now - begun < 1000 * seconds) requestAnimationFrame(frame);
    else done(count / (now - begun) * 1000);
  };
  requestAnimationFrame(frame);
})"""
PLACE = "Number(document.querySelector('[aria-current]')?.dataset.place ?? -1)"


class Walk:
    """One page at one size, and what was seen on it."""

    def __init__(self, browser: Any, file: Path, size: str, scheme: str, slower: float) -> None:
        width, height = (int(part) for part in size.split("x"))
        is_phone = min(width, height) < 600
        self.context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            has_touch=is_phone,
            is_mobile=is_phone,
            offline=True,
        )
        self.page = self.context.new_page()
        self.page.set_default_timeout(60000)
        self.page.add_init_script(WATCH)
        self.wrong: list[str] = []
        self.page.on("console", lambda message: self.wrong.append(message.text))
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        slow = self.context.new_cdp_session(self.page)
        slow.send("Emulation.setCPUThrottlingRate", {"rate": slower})
        self.page.goto(file.as_uri())
        self.page.wait_for_timeout(1500)

    def expect(self, what: str, condition: str, most_ms: int = 15000) -> None:
        if not self.comes(condition, most_ms):
            self.wrong.append(f"not so: {what}")
        if self.page.evaluate(
            "document.documentElement.scrollWidth > document.documentElement.clientWidth"
        ):
            self.wrong.append(f"runs over the edge: {what}")

    def comes(self, condition: str, most_ms: int = 15000) -> bool:
        """Return whether something becomes so (the page's policy forbids waiting inside it)."""
        for _ in range(most_ms // 50):
            if self.page.evaluate(condition):
                return True
            self.page.wait_for_timeout(50)
        return False

    def set_up(self, is_open: bool) -> None:
        button = self.page.locator("#open-setup")
        if button.is_visible() and (button.get_attribute("aria-expanded") == "true") != is_open:
            button.click()

    def figures(self, seconds: float) -> str:
        page = self.page
        paint = page.evaluate(
            "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN"
        )
        page.click("#play")
        self.comes("window.sounded !== null")
        sound = page.evaluate("window.sounded - window.pressed")
        self.comes(f"{PLACE} >= 0")
        frames = page.evaluate(FRAMES, seconds)
        shift = page.evaluate("window.shift")
        return (
            f"first paint {paint:.0f} ms, sound {sound:.0f} ms after Play, {frames:.0f} frames/s, "
            f"layout shift {shift:.3f}"
        )

    def moves(self) -> None:
        """While it plays: a touched bar, back, top, loops, tempo, chords, the stand."""
        page = self.page
        page.click("[data-place='5']")
        self.expect("a touched bar comes with the next bar line", f"{PLACE} === 5")
        page.click("#back-bar")
        self.expect("back a bar", f"{PLACE} <= 5 && {PLACE} >= 4")
        page.click("#top")
        self.expect("to the top", f"{PLACE} === 0")
        before = page.inner_text("#speed-words")
        page.click("#slower")
        self.expect("slower", f"document.querySelector('#speed-words').textContent !== '{before}'")
        page.click("#faster")
        self.expect("faster", f"document.querySelector('#speed-words').textContent === '{before}'")
        for value in ("mine", "softer", "heard"):
            page.click(f"#chords [data-value='{value}']")
            pressed = f"#chords [data-value='{value}'][aria-pressed='true']"
            self.expect(f"chords {value}", f'document.querySelector("{pressed}") !== null')
        page.click("#loop")
        page.click("[data-place='2']")
        page.click("[data-place='3']")
        self.expect("loop", "document.querySelector('#loop-words').textContent.includes('3 to 4')")
        page.click("#loop-start")
        self.expect("the loop's start", f"{PLACE} === 2 || {PLACE} === 3")
        page.click("#clear")
        self.expect(
            "whole tune", "!document.querySelector('#loop-words').textContent.includes('3 to')"
        )
        page.click("#open-stand")
        self.expect("the stand", "document.querySelector('#leave-stand').offsetParent !== null")

    def leave_stand(self) -> None:
        """A touch anywhere stops; then the way out is shown."""
        self.page.click("#stage", position={"x": 40, "y": 200})
        self.expect("a touch on the stand stops", "!document.body.classList.contains('sounding')")
        self.page.click("#leave-stand")
        self.expect("the stand is left", "!document.body.classList.contains('stand')")

    def keys(self) -> None:
        """Every key the page lists."""
        page = self.page
        page.evaluate("document.activeElement.blur()")
        sounding = "document.body.classList.contains('sounding')"
        for so in (sounding, f"!{sounding}", sounding):
            page.keyboard.press(" ")
            self.expect("space plays and stops", so)
        before = page.inner_text("#speed-words")
        for key in ("ArrowDown", "ArrowUp"):
            page.keyboard.press(key)
        self.expect("arrows", f"document.querySelector('#speed-words').textContent === '{before}'")
        for key in ("b", "l", "t", "c", "c", "c", "s", "Escape", "[", "]", "Escape"):
            page.keyboard.press(key)
        page.keyboard.press(" ")
        self.expect("space stops at last", f"!{sounding}")

    def setup(self) -> None:
        """Every choice of the sheet, once there and once back."""
        page = self.page
        self.set_up(True)
        for group in ("modes", "lanes", "counts", "strings"):
            buttons = page.locator(f"#{group} button[data-value]")
            for number in [*range(buttons.count()), 0]:
                buttons.nth(number).click()
                if buttons.nth(number).get_attribute("aria-pressed") != "true":
                    self.wrong.append(f"not pressed: {group} {number}")
        for one in ("own-swing", "own-swing", "more", "fewer"):
            page.click(f"#{one}")
        page.locator("#ratio").fill("1.5")
        for switch in page.locator("[data-part]").all():
            for _ in range(2):
                switch.click()
        for slider in page.locator("#parts input").all():
            slider.fill("70")
        self.expect("levels", "document.querySelector('#parts output').textContent === '70 %'")
        self.set_up(False)

    def found(self, axe: str) -> None:
        """Look with axe-core, and at twice the size of letters (WCAG 1.4.4)."""
        if axe:
            self.page.evaluate(axe)
            self.wrong.extend(violations(self.page))
        self.page.evaluate("document.documentElement.style.fontSize = '200%'")
        self.expect("letters twice as large", "true")
        self.page.evaluate("document.documentElement.style.fontSize = ''")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("chart", type=Path)
    options.add_argument("-o", "--output", type=Path, required=True)
    options.add_argument("--sizes", nargs="*", default=SIZES)
    options.add_argument("--schemes", nargs="*", default=("light", "dark"))
    options.add_argument("--figures-only", action="store_true", help="no actions, only times")
    options.add_argument("--axe", type=Path, help="axe.min.js")
    options.add_argument("--seconds", type=float, default=4, help="how long frames are counted")
    options.add_argument("--slower", type=float, default=USUALLY_SLOWER, help="1: full speed")
    given = options.parse_args()
    given.output.mkdir(parents=True, exist_ok=True)
    axe = given.axe.read_text("utf-8") if given.axe else ""
    faults = 0
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder) / "practice.html"
        file.write_text(practice_page(*chart_and_lanes(given.chart.read_text("utf-8"))), "utf-8")
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        for size, scheme in itertools.product(given.sizes, given.schemes):
            walk = Walk(browser, file, size, scheme, given.slower)
            print(f"{size} {scheme}: {walk.figures(given.seconds)}, load {os.getloadavg()[0]:.1f}")
            name = f"{size}-{scheme}"
            if not given.figures_only:
                walk.page.screenshot(path=given.output / f"{name}-playing.png")
                walk.moves()
                walk.page.screenshot(path=given.output / f"{name}-stand.png")
                walk.leave_stand()
                walk.keys()
                walk.setup()
                walk.found(axe)
                walk.page.screenshot(path=given.output / f"{name}-rest.png")
            for wrong in walk.wrong:
                print(f"  {wrong}")
            faults += len(walk.wrong)
            walk.context.close()
        browser.close()
    sys.exit(f"{faults} faults" if faults else 0)


if __name__ == "__main__":
    main()
