"""How soon the bench's page answers: boards after a keystroke, offers after a key, memory in use.

Prints, in one run: the processor time of the engine's own part (what an idle machine would take),
the time on the clock with the machine as it is, and its load; then the memory of the page and of
the server while a teacher's work is repeated. Needs Chromium and playwright.

    python tests/bench/bench_page_speed.py --rounds 60
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from playwright.sync_api import sync_playwright

from porchswing.bench.shown.board_data import look
from support.bench_running import Running
from support.chromium import ARGS

LISTEN = """
window.heard = []; window.drawn = [];
addEventListener("porchswing:sound", (event) => heard.push(event.detail.ms));
addEventListener("porchswing:drawn", (event) => drawn.push(event.detail.ms));
"""
ROW = "| F Dm7 | Gm7 C7 | F D7 | Gm7 C7 |\n| F F7 | Bb Bbm | Am7 D7 | Gm7 C7 |\n"


def tune(bars: int) -> str:
    sections = [f"[{name}]\n{ROW}" for name in "ABCDEFGH"[: bars // 8]]
    return "title: Long Porch\nkey: F\ntempo: 138\n\n" + "\n".join(sections)


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, round(share * len(values)))]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rounds", type=int, default=60)
    rounds = options.parse_args().rounds
    for bars in (32, 64):
        spent = []
        for number in range(6):
            start = time.process_time()
            look(tune(bars).replace("138", str(100 + number)), {})
            spent.append(1000 * (time.process_time() - start))
        print(f"{bars} bars: the engine's look, processor time {min(spent):.0f} ms at best")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        path = Path(folder) / "long_porch.changes"
        path.write_text(tune(32), "utf-8")
        with Running(Path(folder), path.name) as running:
            browser = playwright.chromium.launch(
                executable_path="/usr/bin/chromium", args=[*ARGS, "--js-flags=--expose-gc"]
            )
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.add_init_script(LISTEN)
            page.goto(running.address)
            page.wait_for_selector(".chord")
            for bars in (32, 64):
                path.write_text(tune(bars), "utf-8")
                page.wait_for_selector(f"[aria-label^='Play from bar {bars},']")
                typed(page, bars)
            used(page, running, rounds)
            browser.close()


def typed(page: object, bars: int) -> None:
    page.evaluate("window.drawn = []")
    page.click(".cm-line >> nth=0")
    page.keyboard.press("End")
    for count in range(1, 13):
        page.keyboard.type("x")
        while page.evaluate("drawn.length") < count:
            time.sleep(0.03)
    drawn = page.evaluate("drawn")
    while not page.inner_text("#saved").endswith("saved"):
        time.sleep(0.05)
    print(
        f"{bars} bars: keystroke to boards {statistics.median(drawn):.0f} ms in the median, "
        f"{min(drawn):.0f} ms at best, load {os.getloadavg()[0]:.1f}"
    )


def used(page: object, running: Running, rounds: int) -> None:
    for number in range(rounds):
        page.click(f".chord >> nth={number % 40}")
        page.wait_for_selector(".offer.ready", timeout=60000)
        for key in ("ArrowDown", "b", "ArrowUp"):
            page.keyboard.press(key)
            page.wait_for_timeout(120)
        page.keyboard.press("Escape")
        if number % max(1, rounds // 6) == 0:
            page.evaluate("window.gc && gc()")
            heap = page.evaluate("performance.memory.usedJSHeapSize") / 1e6
            status = Path(f"/proc/{running.process.pid}/status").read_text()
            resident = int(status.split("VmRSS:")[1].split()[0]) / 1e3
            print(f"round {number}: page heap {heap:.1f} MB, server {resident:.0f} MB")
    heard = page.evaluate("heard")
    print(
        f"{len(heard)} key presses to first sound: median {statistics.median(heard):.0f} ms, "
        f"95th of a hundred {percentile(heard, 0.95):.0f} ms, load {os.getloadavg()[0]:.1f}"
    )


if __name__ == "__main__":
    main()
