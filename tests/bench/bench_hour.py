"""An hour at the bench, hurried: its memory, and the accidents that may happen to it.

Thousands of a teacher's actions are asked of one server (looking, hearing, offers heard and
taken, saving), then a teacher works on its page in Chromium (typing, offers heard, taken and
undone, playing, lanes, depths); memory of the server and of the page is printed along the way.
Before that: pages that vanish, a deleted chart, a disk that is full (a small file system of its
own, where that may be mounted), and a chart of 2,000 bars. Ends with an error where one of them is
not survived or memory grows.

    python tests/bench/bench_hour.py --actions 4000 --page-actions 1500
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from playwright.sync_api import sync_playwright

from support.bench_running import Running, Talk
from support.bench_tune import TUNE
from support.chromium import ARGS

LONG = "key: F\n\n" + "\n".join(
    f"[S{number}]\n" + "| F Dm7 | Gm7 C7 | F D7 | Gm7 C7 |\n" * 10 for number in range(50)
)


def memory_mb(running: Running) -> float:
    status = Path(f"/proc/{running.process.pid}/status").read_text()
    return int(status.split("VmRSS:")[1].split()[0]) / 1e3


def worked(running: Running, talk: Talk, path: Path, actions: int) -> None:
    """Do what a teacher does, over and over, on texts that are never quite the same."""
    digest, done, begun = talk.ask("hello")["digest"], 0, time.monotonic()
    seen: list[float] = []
    kinds = ("swap", "grip", "mark")
    while done < actions:
        text = TUNE.replace("120", str(60 + done % 150)) + f"# take {done}\n"
        place, kind = ["AB"[done % 2], 1 + done % 4, 1], kinds[done // 6 % 3]
        asked: dict[str, Any] = {"text": text, "controls": {"lane": "swing"}, "place": place}
        talk.ask("look", **asked)
        talk.ask("hear", **asked)
        found = talk.ask("offers", kind=kind, **asked)["offers"]
        if len(found) > 1:
            talk.ask("hear offer", kind=kind, number=1, **asked)
            talk.ask("choose", kind=kind, number=1, **asked)
        digest = talk.ask("save", text=text, base=digest)["digest"]
        done += 6
        if done % (6 * (actions // 48)) == 0:
            seen.append(memory_mb(running))
            print(
                f"{done} actions, {time.monotonic() - begun:.0f} s: {seen[-1]:.0f} MB", flush=True
            )
    assert path.read_text() == text
    assert_flat("the server's memory", seen, 30)


def assert_flat(what: str, seen_mb: list[float], most_mb: float) -> None:
    half = len(seen_mb) // 2
    grown = max(seen_mb[half:]) - max(seen_mb[:half])
    print(f"{what}, the second half against the first: {grown:+.1f} MB")
    assert grown < most_mb


def worked_on_the_page(running: Running, path: Path, actions: int) -> None:
    """Do what a teacher does on the page itself; one round is eight actions."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.set_default_timeout(60000)
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(running.address)
        page.wait_for_selector(".chord")
        cdp = page.context.new_cdp_session(page)
        cdp.send("Performance.enable")
        heaps: list[float] = []
        servers: list[float] = []
        text, begun = path.read_text(), time.monotonic()
        for round_ in range(actions // 8):
            a_round(page, round_)
            if round_ % max(1, actions // 8 // 24) == 0:
                cdp.send("HeapProfiler.collectGarbage")
                told = cdp.send("Performance.getMetrics")["metrics"]
                found = {metric["name"]: metric["value"] for metric in told}
                heaps.append(found["JSHeapUsedSize"] / 1e6)
                servers.append(memory_mb(running))
                print(f"{8 * (round_ + 1)} actions on the page, {time.monotonic() - begun:.0f} s: "
                      f"heap {heaps[-1]:.1f} MB, {found['Nodes']:.0f} nodes, "
                      f"{found['JSEventListeners']:.0f} listeners, server {servers[-1]:.0f} MB",
                      flush=True)  # fmt: skip
        page.locator("#saved:has-text(', saved')").wait_for()
        assert path.read_text() == text
        assert wrong == []
        browser.close()
    assert_flat("the page's heap", heaps, 6)
    assert_flat("the server's memory", servers, 30)


def a_round(page: Any, number: int) -> None:
    """Type and take back, hear an offer, take it and undo, play, turn the lane, another depth."""
    page.click(".cm-line >> nth=0")
    page.keyboard.press("End")
    page.keyboard.type("x")
    page.keyboard.press("Backspace")
    page.locator(".chord").nth(number % 8).click()
    page.locator(".kinds button").nth(number // 8 % 3).click()
    page.locator(".offer.ready").first.wait_for()  # a handle would keep the offers alive
    page.keyboard.press("ArrowDown")
    page.keyboard.press("b")
    page.click("#take")
    page.locator("#tray").wait_for(state="hidden")
    page.click("#undo")
    page.click("#play")
    page.wait_for_timeout(300)
    page.click("#play")
    for _ in range(2):
        page.click("#lane")
    page.locator("#depth").press(("ArrowRight", "ArrowLeft")[number % 2])


def vanished(running: Running) -> None:
    """Pages that are gone in the middle of a question."""
    for _ in range(20):
        page = running.talk()
        page.send("hear", text=TUNE, controls={})
        page.socket.socket.close()
    with running.talk() as talk:
        assert talk.ask("look", text=TUNE, controls={})["errors"] == []
    print("20 pages vanished in the middle of a question: alive")


def deleted(talk: Talk, path: Path) -> None:
    digest = talk.ask("hello")["digest"]
    path.unlink()
    talk.event("deleted")
    talk.ask("save", text=TUNE, base=digest)
    assert path.read_text() == TUNE
    print("deleted chart: said, and written again by the next save")


def long(talk: Talk) -> None:
    begun = time.monotonic()
    bars = talk.ask("look", text=LONG, controls={}, timeout_s=300)["bars"]
    print(f"{len(bars)} bars: seen after {time.monotonic() - begun:.1f} s")
    assert len(bars) == 2000
    assert talk.ask("look", text=TUNE, controls={})["errors"] == []


def full_disk(folder: Path) -> None:
    """A save on a disk without room fails, says so, and leaves the chart whole."""
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(folder)], check=False
    )
    if mounted.returncode:
        print("full disk: not tried, nothing may be mounted here")
        return
    try:
        path = folder / "tune.changes"
        path.write_text(TUNE)
        with Running(folder, path.name) as running, running.talk() as talk:
            digest = talk.ask("hello")["digest"]
            (folder / "fill").write_bytes(bytes(4096 * (os.statvfs(folder).f_bavail)))
            answer = talk.ask("save", text=TUNE * 30, base=digest)
            assert "No space left" in answer["error"], answer
            assert path.read_text() == TUNE
            (folder / "fill").unlink()
            assert "digest" in talk.ask("save", text=TUNE + "# more\n", base=digest)
            assert path.read_text() == TUNE + "# more\n"
            print(f"full disk: {answer['error']!r}; the chart whole, and saved once there is room")
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--actions", type=int, default=4000)
    options.add_argument("--page-actions", type=int, default=1500)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "full").mkdir()
        full_disk(Path(folder) / "full")
        path = Path(folder) / "two_rooms.changes"
        path.write_text(TUNE)
        with Running(Path(folder), path.name) as running:
            with running.talk() as talk:
                deleted(talk, path)
                long(talk)
            vanished(running)
            with running.talk() as talk:
                worked(running, talk, path, given.actions)
            worked_on_the_page(running, path, given.page_actions)
            assert running.end() == 0


if __name__ == "__main__":
    main()
