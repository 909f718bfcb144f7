"""A whole course, timed: built, rebuilt unchanged, rebuilt after one chart and one pattern changed.

    python tests/bench/course_build.py [--charts 24] [--keys 12] [--tempos 3] [--workers 2]
                                       [--speed-up [--rounds 3] [--dask]] [--formats wav,mid]
                                       [--out DIR]

Makes charts of our own (16 to 32 bars, chords drawn from common progressions by seed), and a
course of charts × keys × tempos × 2 mixes as WAV and MIDI; prints the plan's estimate beside what
was measured: seconds, files, bytes, memory of a worker.

``--speed-up`` builds a course (4 × 6 × 2 if no size is given; starting a worker costs 0.4 s of its
12) with one worker and with two, in turns, and prints the ratio (run it on a quiet machine) and the
processor time of a finished minute; with ``--dask`` the workers are processes of a Dask cluster.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
TEMPOS = (88, 112, 138, 164, 190)
PHRASES = (
    "C Am | Dm G7 | C Am | Dm G7",
    "C C7 | F Fm | C G7 | C",
    "C | A7 | D7 | G7",
    "F | Fm | C A7 | D7 G7",
    "Am | E7 | Am | D7 G7",
    "C E7 | Am C7 | F D7 | G7",
)


def write_course(
    folder: Path, charts: int, keys: int, tempos: int, formats: str = "wav,mid"
) -> Path:
    """Write charts and course file; return the course's path."""
    rng = random.Random("course")
    (folder / "tunes").mkdir(parents=True, exist_ok=True)
    for number in range(charts):
        sections = [
            f"[{name}]\n" + "\n".join(f"| {rng.choice(PHRASES)} |" for _ in range(2))
            for name in "AB"
        ]
        form = rng.choice(("A B", "A A B A", "A A B"))
        head = f"title: Etude {number + 1}\nkey: C\ntempo: 120\nform: {form}\n"
        strum = rng.choice(("four", "charleston", "two_and_four"))
        text = head + f"strum: {strum}\n\n" + "\n\n".join(sections) + "\n"
        (folder / "tunes" / f"etude_{number + 1:02}.changes").write_text(text, "utf-8")
    course = folder / "course.toml"
    course.write_text(
        f"""title = "A measured course"
[defaults]
keys    = {json.dumps(KEYS[:keys])}
tempos  = {json.dumps(TEMPOS[:tempos])}
formats = {json.dumps(formats.split(","))}
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["tunes/*.changes"]
""",
        "utf-8",
    )
    return course


def build(course: Path, out: Path, workers: int, *more: str) -> dict[str, Any]:
    """Run one build as a process; return what it told, with its wall time."""
    command = [sys.executable, "-m", "porchswing", "build", str(course), "-o", str(out)]
    if "--scheduler" not in more:
        more = ("--workers", str(workers), *more)
    start = time.perf_counter()
    done = subprocess.run([*command, "--json", *more], capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"the build failed: {done.stderr}{done.stdout[-2000:]}")
    told: dict[str, Any] = json.loads(done.stdout)
    return told | {"wall_s": time.perf_counter() - start}


def show(label: str, told: dict[str, Any]) -> None:
    """Print one build's figures."""
    print(
        f"{label:<28}{told['wall_s']:9.2f} s  made {told['made']:>5}  kept {told['kept']:>5}  "
        f"failed {len(told['failed'])}  worker peak {told['worker_peak_mb']:.0f} MB  "
        f"recordings {told['audio_seconds'] / 3600:.2f} h",
        flush=True,
    )


def speed_up(folder: Path, course: Path, formats: str, on_dask: bool, rounds: int) -> None:
    """Build a course with one worker and two in turns; print the ratio of the best."""
    walls: dict[int, list[float]] = {1: [], 2: []}
    costs: dict[int, list[float]] = {1: [], 2: []}
    for _ in range(rounds):
        for workers in walls:
            before_s, out = children_s(), folder / "speed"
            with cluster_of(workers) if on_dask else nullcontext(()) as more:
                told = build(course, out, workers, *more)
            walls[workers].append(told["wall_s"])
            costs[workers].append((children_s() - before_s) / told["audio_seconds"] * 60.0)
            shutil.rmtree(out)
    best = {workers: min(found) for workers, found in walls.items()}
    print(f"one worker {walls[1]}, two {walls[2]} s: speed-up {best[1] / best[2]:.2f}")
    cost = {workers: min(found) for workers, found in costs.items()}
    print(
        f"a finished minute as {formats} costs {cost[1]:.3f} s of processor time with one worker, "
        f"{cost[2]:.3f} with two: {2 * cost[1] / cost[2]:.2f} times as fast at most"
    )


def children_s() -> float:
    """Return the processor time of all processes that ended before us."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@contextmanager
def cluster_of(workers: int) -> Iterator[tuple[str, str]]:
    """Yield the options that send a build's jobs to a Dask cluster of so many processes."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        yield "--scheduler", cluster.scheduler_address


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--charts", type=int)
    parser.add_argument("--keys", type=int)
    parser.add_argument("--tempos", type=int)
    parser.add_argument("--workers", type=int, default=len(os.sched_getaffinity(0)))
    parser.add_argument("--speed-up", action="store_true")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--dask", action="store_true")
    parser.add_argument("--formats", default="wav,mid")
    parser.add_argument("--out", type=Path)
    arguments = parser.parse_args()
    if arguments.out is not None:
        arguments.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=arguments.out) as name:
        folder = Path(name)
        usual = (4, 6, 2) if arguments.speed_up else (24, 12, 3)
        asked = (arguments.charts, arguments.keys, arguments.tempos)
        sizes = (own or size for own, size in zip(asked, usual, strict=True))
        course = write_course(folder, *sizes, arguments.formats)
        if arguments.speed_up:
            speed_up(folder, course, arguments.formats, arguments.dask, arguments.rounds)
            return
        out, workers = folder / "out", arguments.workers
        plan = build(course, out, workers, "--dry-run")
        print(
            f"planned {plan['planned']} files; estimated {plan['estimated_seconds']:.0f} s, "
            f"{plan['estimated_bytes'] / 1e9:.2f} GB, {plan['audio_seconds'] / 3600:.2f} h"
        )
        first = build(course, out, workers)
        show("first build", first)
        size = sum(path.stat().st_size for path in out.rglob("*") if path.is_file())
        print(f"{size / 1e9:.2f} GB on disk")
        again = build(course, out, workers)
        show("again, nothing changed", again)
        print(f"    {100 * again['wall_s'] / first['wall_s']:.2f} % of the first")
        chart = folder / "tunes" / "etude_01.changes"
        chart.write_text(chart.read_text("utf-8").replace("tempo: 120", "tempo: 121"), "utf-8")
        show("one chart changed", build(course, out, workers))
        text = course.read_text("utf-8")
        course.write_text(text.replace(", 138]", "]") if ", 138]" in text else text, "utf-8")
        pruned = build(course, out, workers, "--prune")
        show("one tempo fewer, --prune", pruned)
        print(f"    removed {len(pruned['removed'])}")


if __name__ == "__main__":
    main()
