"""Real Chromium (Debian's), driven by playwright: a page opened from disk, offline, and heard."""

from __future__ import annotations

from pathlib import Path
from typing import Any

ARGS = [
    "--no-sandbox",
    "--disable-gpu",
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


class Opened:
    """A page opened from disk that remembers everything its console said."""

    def __init__(self, browser: Any, file: Path, **options: Any) -> None:
        self.context = browser.new_context(offline=True, **options)
        self.context.add_init_script(HEAR_STARTS)
        self.page = self.context.new_page()
        self.said: list[str] = []
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.said.extend(self._asked(request.url)))
        self.page.goto(file.as_uri())

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


def violations(page: Any) -> list[str]:
    """Return what axe-core, already loaded into the page, finds against its rules."""
    found = page.evaluate("axe.run(document).then((told) => told.violations)")
    return [f"{v['id']}: {v['nodes'][0]['html'][:200]}" for v in found]
