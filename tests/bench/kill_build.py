"""Kill builds and lessons at random moments, again and again, and count what is lost.

    python tests/bench/kill_build.py [KILLS]

Each round starts ``porchswing build`` of a small course (or, every fourth time, ``porchswing
lesson``) into a folder that keeps what earlier rounds left, and kills it with SIGKILL after a
random time (a third of the time one of its workers instead). After each kill every file under a
final name is decoded (mido, libsndfile, an HTML and a PDF reader) and compared with an
undisturbed run's. A run that ends before it is hit must be whole; its folder is then emptied.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support.faults import Build, Lesson, assert_survivors_are_whole, visible, workers_of

ROUNDS_BEFORE_FINISHING = 10


def disturb(job: Build, rng: random.Random, longest_s: float) -> str:
    """Start a job and kill it, or a worker of it, at a random moment; say what was hit."""
    with job.start() as process:
        deadline = time.monotonic() + rng.uniform(0.1, longest_s)
        while time.monotonic() < deadline and process.poll() is None:
            time.sleep(0.01)
        if process.poll() is not None:
            return "ended first"
        workers = workers_of(process.pid)
        if workers and rng.random() < 1 / 3:
            try:
                os.kill(rng.choice(workers), signal.SIGKILL)
            except ProcessLookupError:
                return "ended first"
            process.communicate()
            return "worker"
        process.kill()
    return "builder"


def main() -> None:
    """Run the rounds and print the tally."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    rng = random.Random("kills")
    tally: Counter[str] = Counter()
    survivors = 0
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder)
        clean_jobs: list[Build] = [Build.of_new_course(top, charts=3), Lesson.of_new_chart(top)]
        longest = []
        for clean in clean_jobs:
            start = time.monotonic()
            done = clean.run()
            if done.returncode != 0:
                sys.exit(f"the undisturbed run failed: {done.stderr}")
            longest.append(time.monotonic() - start)
            print(f"undisturbed {clean.name}: {longest[-1]:.1f} s, {len(visible(clean.out))} files")
        while tally["builder"] + tally["worker"] < kills:
            which = int(tally.total() % 4 == 3)
            clean = clean_jobs[which]
            job = clean.into(top / f"disturbed_{clean.name}")
            hit = disturb(job, rng, longest[which])
            tally[hit] += 1
            tally[f"{hit} of {clean.name}"] += 1
            survivors += assert_survivors_are_whole(job.out, clean.out)
            if tally.total() % 20 == 0:
                print(f"    so far {dict(tally)}, {survivors} survivors whole", flush=True)
            if hit == "ended first" or rng.random() < 1 / ROUNDS_BEFORE_FINISHING:
                finished = job.run()
                if finished.returncode != 0 or visible(job.out) != visible(clean.out):
                    sys.exit(f"the next run did not finish the {clean.name}: {finished.stderr}")
                tally["finished whole"] += 1
                shutil.rmtree(job.out)
        for clean in clean_jobs:
            job = clean.into(top / f"disturbed_{clean.name}")
            if job.run().returncode != 0 or visible(job.out) != visible(clean.out):
                sys.exit(f"the last run did not finish the {clean.name}")
    for word, count in sorted(tally.items()):
        print(f"{word}: {count}")
    print(f"survivors decoded and compared: {survivors}; lost or damaged: 0")


if __name__ == "__main__":
    main()
