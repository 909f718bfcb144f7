"""Real Chromium (Debian's), driven by playwright: a page opened from disk, offline, and heard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--in-process-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--mute-audio",
]
DESKTOP = {"viewport": {"width": 1280, "height": 800}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
HEAR_STARTS = """
window.starts = [];
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when) {
  window.starts.push(when);
  return start.apply(this, arguments);
};
"""
HEAR_PLACES = """
window.places = [];
addEventListener("DOMContentLoaded", () => {
  new MutationObserver((changes) => {
    for (const { target } of changes) {
      if (target.getAttribute("aria-current")) window.places.push(Number(target.dataset.place));
    }
  }).observe(document.body, { subtree: true, attributeFilter: ["aria-current"] });
});
"""
TIMED_BY_THE_TEST = """
window.AudioContext = class extends window.AudioContext {
  constructor(...all) { super(...all); this.begun = performance.now(); }
  get currentTime() { return (performance.now() - this.begun) / 1000; }
  get outputLatency() { return 0; }
  get state() { return "running"; }
  resume() { return Promise.resolve(); }
};
"""
"""An audio clock that shows the page's own time, which :class:`Timed` moves by hand."""


class Opened:
    """A page opened from disk that remembers everything its console said."""

    def __init__(self, browser: Any, file: Path, **options: Any) -> None:
        self.context = browser.new_context(offline=True, **options)
        self.context.set_default_navigation_timeout(120_000)  # a busy machine is no failure
        self.context.add_init_script(HEAR_STARTS)
        self.context.add_init_script(HEAR_PLACES)
        self.page = self.context.new_page()
        self._begin()
        self.said: list[str] = []
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.said.extend(self._asked(request.url)))
        self.page.goto(file.as_uri())
        self._wait_until_awake()

    def _begin(self) -> None:
        """Do what must be done before the page is there."""

    def _wait_until_awake(self) -> None:
        """Wait until a practice page's script has run: it runs after the first paint."""
        self.page.wait_for_selector("html:not(.waking)")

    def reload(self) -> None:
        self.page.reload()
        self._wait_until_awake()

    @staticmethod
    def _asked(address: str) -> list[str]:
        return [] if address.startswith("file:") else [f"asked for {address}"]

    def play(self) -> None:
        self.page.click("#play")
        self.page.wait_for_selector("body.sounding", timeout=20000)

    def starts(self) -> list[float]:
        return sorted(self.page.evaluate("window.starts"))

    def __enter__(self) -> Opened:
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()
        assert self.said == []


class Timed(Opened):
    """A page whose time, that of timers, frames and sound, stands still unless :meth:`run`.

    What is played is so the same on any machine, however busy, and takes no time to wait for.
    """

    def _begin(self) -> None:
        self.page.clock.install(time=0)
        self.context.add_init_script(TIMED_BY_THE_TEST)

    def play(self) -> None:
        """Press Play, and hold the clock from there on."""
        self.page.clock.pause_at(self.page.evaluate("Date.now()") + 1000)
        super().play()

    def run(self, seconds: float) -> None:
        """Let the page's time go on."""
        self.page.clock.run_for(round(1000 * seconds))

    def run_until(self, condition: str, most_s: float = 30.0, step_s: float = 0.05) -> float:
        """Let time go on until something is so; return how long that took."""
        steps = 0
        while not self.page.evaluate(condition):
            assert steps * step_s < most_s, f"it never came: {condition}"
            self.run(step_s)
            steps += 1
        return steps * step_s

    def run_to(self, place: int) -> None:
        """Let time go on until a bar is marked as playing."""
        bar = f"document.querySelector('[aria-current]')?.dataset.place === '{place}'"
        self.run_until(bar, step_s=0.1)

    def places(self) -> list[int]:
        """Return the bars marked as playing so far, each once when it came."""
        found: list[int] = self.page.evaluate("window.places")
        return found


def violations(page: Any) -> list[str]:
    """Return what axe-core, already loaded into the page, finds against its rules."""
    found = page.evaluate("axe.run(document).then((told) => told.violations)")
    return [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in found]
