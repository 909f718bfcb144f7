"""What syncing costs a build: the same course built with ``fsync`` and with none, in turns.

    python tests/bench/sync_cost.py [TURNS]

Every process of the second build, workers too, starts with an ``os.fsync`` that does nothing.
Prints the median seconds of both and their ratio; on a machine with other work the ratio says
more than the seconds. A temporary folder in memory would show nothing: set ``TMPDIR`` to a disk.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
WITHOUT = "import os\nos.fsync = lambda handle: None\n"
COURSE = f"""[defaults]
keys = ["as written", "F"]
tempos = [80, 120]
formats = ["wav", "mid"]
[[tune]]
charts = ["{ROOT / "demos"}/*.changes"]
"""


def build_s(folder: Path, turn: int, hooks: Path | None) -> float:
    """Return the seconds of one build into a new folder."""
    name = f"{turn}-{'without' if hooks else 'with'}"
    paths = [str(ROOT / "engine"), *([str(hooks)] if hooks else [])]
    command = [sys.executable, "-m", "porchswing", "build", str(folder / "c.toml"), "-q"]
    start = time.monotonic()
    subprocess.run(
        [*command, "-o", str(folder / name), "--workers", "2"],
        env=os.environ | {"PYTHONPATH": os.pathsep.join(paths)},
        check=True,
    )
    return time.monotonic() - start


def main(turns: int) -> None:
    """Build in turns and print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "c.toml").write_text(COURSE, "utf-8")
        hooks = folder / "hooks"
        hooks.mkdir()
        (hooks / "sitecustomize.py").write_text(WITHOUT, "utf-8")
        build_s(folder, -1, None)  # not counted: it warms the disk's cache
        pairs = [
            (build_s(folder, turn, None), build_s(folder, turn, hooks)) for turn in range(turns)
        ]
    synced, unsynced = (median(times) for times in zip(*pairs, strict=True))
    ratios = " ".join(f"{one / other:.3f}" for one, other in pairs)
    print(
        f"with fsync {synced:.1f} s, without {unsynced:.1f} s: {synced / unsynced:.3f} ({ratios})"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
