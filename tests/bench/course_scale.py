"""How planning and keeping book grow with a course: no music is made.

    python tests/bench/course_scale.py [CHARTS ...]

For each number of charts (× 12 keys × 4 tempos × 2 mixes × WAV and MIDI) it plans, pretends that
every file was made (as empty files of the right name, entries as the builder journals them),
and measures: planning, planning and finding that nothing changed, writing the manifest, reading it
back, sizes, memory. What grows faster than the number of files shows here first.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

from porchswing.course.course_file import parse_course
from porchswing.course.course_plan import make_plan
from porchswing.course.run import find_todo
from porchswing.course.tune_job import JobFacts
from porchswing.outputs.folder import Finished, OutputFolder

COURSE = """
title = "Scale"
[defaults]
keys    = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
tempos  = [80, 100, 120, 140]
formats = ["wav", "mid"]
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["t/*/*.changes"]
"""
BATCH = 100
"""Files adopted and synced at once, as a builder does with all of half a second."""

FACTS = JobFacts(("bass/two", "drums/brushes", "strum/four"), 60.0)


def measure(charts: int) -> None:
    """Measure one size of course and print a row."""
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        for number in range(charts):
            folder = top / "t" / f"{number // 100:03}"
            folder.mkdir(parents=True, exist_ok=True)
            text = f"title: Tune {number}\nkey: C\n[A]\n| C Am | Dm G7 |\n"
            (folder / f"tune_{number:05}.changes").write_text(text, "utf-8")
        times = {}
        start = time.perf_counter()
        course = parse_course(COURSE, str(top / "course.toml"))
        plan = make_plan(course)
        times["plan"] = time.perf_counter() - start
        out = OutputFolder(top / "out")
        start = time.perf_counter()
        finished = []
        for job in plan.jobs:
            for output in job.outputs:
                path = out.folder / output
                part = out.work_path(path)
                part.touch()
                origin = plan.origin(job, output, FACTS)
                finished.append(Finished(part, path, origin.digest, origin.made_from, "0" * 64))
            if len(finished) >= BATCH or job is plan.jobs[-1]:
                out.adopt(finished)
                finished = []
        times["book-keeping"] = time.perf_counter() - start
        start = time.perf_counter()
        out.write_manifest({"title": "Scale"})
        times["manifest"] = time.perf_counter() - start
        start = time.perf_counter()
        again = OutputFolder(top / "out")
        times["read back"] = time.perf_counter() - start
        start = time.perf_counter()
        left = find_todo(course, again).jobs
        times["nothing changed"] = time.perf_counter() - start
        assert left == (), "something was taken for stale"
        files = len(plan.names)
        size_mb = (out.folder / "manifest.json").stat().st_size / 1e6
        peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        row = "  ".join(f"{word} {seconds:.2f} s" for word, seconds in times.items())
        print(f"{charts} charts, {files} files: {row}; manifest {size_mb:.0f} MB; {peak_mb:.0f} MB")


if __name__ == "__main__":
    for count in [int(word) for word in sys.argv[1:]] or [50, 100, 200]:
        measure(count)
