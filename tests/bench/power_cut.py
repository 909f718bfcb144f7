"""Cut the power under builds and renders on real file systems, and count what is lost.

    python tests/bench/power_cut.py [CUTS] [ext4 xfs btrfs btrfs,commit=1]
                                                        (as root: it mounts loop devices)

Each round makes a fresh file system in an image, mounts it, and starts ``porchswing build`` (or,
every other round, a ``render``) into it. At a random moment, up to some seconds after the command
has ended, its processes are stopped and the image is copied without any sync: the copy is what a
power cut leaves. The copy is mounted, every file under a final name is compared with an undisturbed
run's, and the next run must finish the job without ``--force``.

*torn* counts files under final names that are not whole (allowed for a single render only), *lost*
those of a build, *refused* next runs that did not repair, *nothing there* cuts that left no file
under a final name and so say little. btrfs commits every 30 s, longer than a round, and a render is
left to it; with ``commit=1``, an option of its mount, a cut finds more.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support.faults import Build, visible

SIZES_MB = {"ext4": 128, "xfs": 320, "btrfs": 256, "btrfs,commit=1": 256}
AFTER_S = 4.0


class Render(Build):
    """One render of two recordings, large enough to be left to the system."""

    name = "render"

    @property
    def command(self) -> list[str]:
        chart = str(self.course.parent / "number_0.changes")
        words = ["render", chart, "--formats", "wav,flac,mid"]
        return [sys.executable, "-m", "porchswing", *words, "-o", str(self.out)]


def maker(kind: str) -> str:
    """Return the program that makes a file system of a kind, which may name options of a mount."""
    return f"mkfs.{kind.partition(',')[0]}"


def mount(image: Path, folder: Path, kind: str) -> None:
    folder.mkdir(exist_ok=True)
    options = ",".join(["loop", *kind.split(",")[1:]])
    subprocess.run(["mount", "-o", options, str(image), str(folder)], check=True)


def unmount(folder: Path) -> None:
    subprocess.run(["umount", str(folder)], check=True)


def cut(job: Build, kind: str, top: Path, rng: random.Random, took_s: float) -> tuple[Path, str]:
    """Run a job on a fresh file system, cut the power; return the copy and when it was cut."""
    image, copy = top / "image", top / "copy"
    image.unlink(missing_ok=True)
    copy.unlink(missing_ok=True)
    with image.open("wb") as file:
        file.truncate(SIZES_MB[kind] << 20)
    subprocess.run([maker(kind), "-q", str(image)], check=True, capture_output=True)
    mount(image, top / "disk", kind)
    subprocess.run(["sync", "-f", str(top / "disk")], check=True)
    process = subprocess.Popen(
        job.into(top / "disk" / "out").command,
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    time.sleep(rng.uniform(0.3, took_s + AFTER_S))
    when = "after its end" if process.poll() is not None else "in the middle"
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGSTOP)
    subprocess.run(["cp", "--sparse=always", str(image), str(copy)], check=True)
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    time.sleep(0.2)
    unmount(top / "disk")
    return copy, when


def main() -> None:
    """Run the rounds and print the tally."""
    cuts = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    kinds = sys.argv[2:] or [kind for kind in SIZES_MB if shutil.which(maker(kind))]
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        build = Build.of_new_course(top, charts=2)
        jobs = (build, Render(build.course, top / "rendered"))
        want, took_s = {}, {}
        for job in jobs:
            start = time.monotonic()
            assert job.run().returncode == 0
            took_s[job.name] = time.monotonic() - start
            want[job.name] = visible(job.out)
        for kind in kinds:
            rng = random.Random(f"cuts of {kind}")
            tally: Counter[str] = Counter()
            for number in range(cuts):
                job = jobs[number % 2]
                copy, when = cut(job, kind, top, rng, took_s[job.name])
                tally[f"{job.name} cut {when}"] += 1
                mount(copy, top / "left", kind)
                try:
                    out = top / "left" / "out"
                    found = visible(out) if out.exists() else {}
                    bad = [n for n, sha in found.items() if sha != want[job.name].get(n)]
                    bad = [n for n in bad if n != "manifest.json"]
                    tally["whole"] += len(found) - len(bad)
                    tally[f"nothing there by a {job.name} cut {when}"] += not found
                    tally["lost" if job is build else "torn by a render"] += len(bad)
                    if when == "after its end" and job is build:
                        tally["missing after its end"] += len(want[job.name]) - len(found)
                    done = job.into(out).run()
                    if done.returncode != 0 or visible(out) != want[job.name]:
                        tally["refused"] += 1
                        print(done.stderr)
                finally:
                    unmount(top / "left")
            for word in ("lost", "missing after its end", "refused"):
                tally[word] += 0
            print(f"{kind}: {cuts} cuts: {dict(sorted(tally.items()))}", flush=True)


if __name__ == "__main__":
    main()
