"""How long a film of three minutes takes, what it weighs, and how many pictures it has.

    python tests/bench/film_speed.py [CHART] [16:9|9:16] [OPTION ...]

Prints wall and processor time, ours and ffmpeg's, of ``porchswing film`` as a whole process, for
as many choruses as come nearest to three minutes. Options, such as ``--density 1``, are the
command's.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

GOAL_S = 180.0
DEMO = Path(__file__).resolve().parents[2] / "demos" / "lantern_street_stroll.changes"


def film(chart: Path, sides: str, out: Path, choruses: int) -> dict[str, object]:
    """Run the command and return its facts."""
    words = [sys.executable, "-m", "porchswing", "film", str(chart), "-o", str(out), "--json"]
    words += ["--picture", sides, "--choruses", str(choruses), *sys.argv[3:]]
    facts: dict[str, object] = json.loads(
        subprocess.run(words, capture_output=True, check=True).stdout
    )
    return facts


def main() -> None:
    chart = Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO
    sides = sys.argv[2] if len(sys.argv) > 2 else "16:9"
    with tempfile.TemporaryDirectory() as folder:
        once = float(str(film(chart, sides, Path(folder) / "once.txt", 1)["seconds"]))
        choruses = max(1, round(GOAL_S / once))
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        start = time.perf_counter()
        out = Path(folder) / "overlay.mov"
        facts = film(chart, sides, out, choruses)
        wall_s = time.perf_counter() - start
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        print(
            f"{facts['seconds']} s of film, {facts['shots']} shots, {facts['size']}: "
            f"{wall_s:.1f} s, {cpu_s:.1f} s of processor time, {out.stat().st_size / 1e6:.0f} MB"
        )


if __name__ == "__main__":
    main()
