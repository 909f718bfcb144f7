"""An hour at the bench, hurried: its memory, and the accidents that may happen to it.

Thousands of a teacher's actions are asked of one server (looking, hearing, offers heard and
taken, saving), its memory printed along the way; then pages that vanish, a deleted chart, a disk
that is full (a small file system of its own, where that may be mounted), and a chart of 2,000
bars. Ends with an error where one of them is not survived.

    python tests/bench/bench_hour.py --actions 4000
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

from support.bench_running import Running, Talk
from support.bench_tune import TUNE

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
            print(f"{done} actions, {time.monotonic() - begun:.0f} s: {seen[-1]:.0f} MB")
    assert path.read_text() == text
    half = len(seen) // 2
    grown = max(seen[half:]) - max(seen[:half])
    print(f"memory of the second half against the first: {grown:+.0f} MB")
    assert grown < 30


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
    actions = options.parse_args().actions
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
                worked(running, talk, path, actions)
            assert running.end() == 0


if __name__ == "__main__":
    main()
