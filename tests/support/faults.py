"""What fault tests share: a course to disturb, and a close look at what survives."""

from __future__ import annotations

import hashlib
import subprocess
import sys
import time
import zipfile
from dataclasses import dataclass, replace
from html.parser import HTMLParser
from pathlib import Path

import mido
import soundfile

COURSE = """
title = "Disturbed term"
[defaults]
keys    = ["as written", "Bb"]
tempos  = [140, 180]
formats = ["wav", "mid"]
rate    = 8000
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["*.changes"]
"""

CHART = """
title: Number {number}
key: F
tempo: 160
[A]
| F Dm7 | Gm7 C7 | F D7 | G7 C7 |
| F F7 | Bb Bbm | F C7 | F |
"""


@dataclass(frozen=True)
class Build:
    """One ``porchswing build`` of a course into a folder, as a process."""

    course: Path
    out: Path
    where: tuple[str, ...] = ("--workers", "2")
    name = "course"

    @classmethod
    def of_new_course(cls, folder: Path, charts: int = 2) -> Build:
        """Write a course of a few charts and return its build."""
        for number in range(charts):
            path = folder / f"number_{number}.changes"
            path.write_text(CHART.format(number=number), "utf-8")
        (folder / "course.toml").write_text(COURSE, "utf-8")
        return cls(folder / "course.toml", folder / "out")

    @property
    def command(self) -> list[str]:
        """The command line."""
        return [sys.executable, "-m", "porchswing", *self.job, "-o", str(self.out), *self.where]

    @property
    def job(self) -> list[str]:
        """The command and what it works on."""
        return ["build", str(self.course)]

    def into(self, out: Path) -> Build:
        """Return the same job into another folder."""
        return replace(self, out=out)

    def run(self) -> subprocess.CompletedProcess[str]:
        """Build, and wait for the end."""
        return subprocess.run(self.command, capture_output=True, text=True, timeout=300)

    def start(self) -> subprocess.Popen[str]:
        """Begin to build."""
        return subprocess.Popen(
            self.command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )

    def wait_for_workers(self, process: subprocess.Popen[str]) -> list[int]:
        """Return the process ids of the workers once there are two."""
        return _wait(lambda: found if len(found := workers_of(process.pid)) >= 2 else None)

    def wait_for_files(self, count: int) -> None:
        """Return once so many more files are in place than there were."""
        before = len(visible(self.out))
        _wait(lambda: len(visible(self.out)) >= before + count or None)


@dataclass(frozen=True)
class Lesson(Build):
    """One ``porchswing lesson`` of a chart into a folder, as a process."""

    name = "lesson"

    @classmethod
    def of_new_chart(cls, folder: Path) -> Lesson:
        """Write a chart and return its lesson."""
        (folder / "lesson.changes").write_text(CHART.format(number=9), "utf-8")
        return cls(folder / "lesson.changes", folder / "lesson")

    @property
    def job(self) -> list[str]:
        """The command and what it works on."""
        return ["lesson", str(self.course), "--formats", "flac", "--rate", "8000"]


def visible(out: Path) -> dict[str, str]:
    """Return every file under its final name, with the hash of its content."""
    return {
        path.relative_to(out).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(out.rglob("*"))
        if path.is_file() and ".porchswing" not in path.parts
    }


def assert_survivors_are_whole(out: Path, clean: Path) -> int:
    """Decode every survivor and compare it with the undisturbed build; return how many."""
    want = visible(clean)
    found = visible(out)
    for name, sha256 in found.items():
        path = out / name
        if name == "manifest.json":
            continue
        assert sha256 == want[name], f"{name} differs from the undisturbed build's"
        decode(path)
    return len(found)


def decode(path: Path) -> None:
    """Read a file as what its suffix says it is; any reader's error is a damaged file."""
    if path.suffix == ".mid":
        assert mido.MidiFile(path).length > 0.5
    elif path.suffix in {".wav", ".flac", ".mp3", ".ogg"}:
        samples, rate = soundfile.read(path)
        assert len(samples) > rate / 2
    elif path.suffix == ".zip":
        with zipfile.ZipFile(path) as archive:
            assert archive.namelist()
            assert archive.testzip() is None, f"{path} is damaged"
    elif path.suffix == ".pdf":
        subprocess.run(["pdftotext", str(path), "-"], check=True, capture_output=True)
    elif path.suffix == ".html":
        reader = _Closing()
        reader.feed(path.read_text("utf-8"))
        assert reader.closed_html, f"{path} ends early"
    else:
        assert path.read_text("utf-8").strip()


class _Closing(HTMLParser):
    closed_html = False

    def handle_endtag(self, tag: str) -> None:
        self.closed_html = tag == "html"


def workers_of(pid: int) -> list[int]:
    """Return the ids of a process' spawned workers (Linux)."""
    children = Path(f"/proc/{pid}/task/{pid}/children")
    try:
        found = [int(word) for word in children.read_text().split()]
        return [c for c in found if b"spawn_main" in Path(f"/proc/{c}/cmdline").read_bytes()]
    except OSError:
        return []


def _wait(found, seconds: float = 60):  # type: ignore[no-untyped-def]
    deadline = time.monotonic() + seconds
    while (result := found()) is None:
        assert time.monotonic() < deadline, "waited in vain"
        time.sleep(0.02)
    return result
