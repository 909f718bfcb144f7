"""Write ``made_by_0_1_0``: a course and a lesson's folder as porchswing 0.1.0 made them.

Run it with the engine of version 0.1.0 on PYTHONPATH, in an empty folder::

    python make_old_course.py FOLDER

It keeps what is small: charts, the course, MIDI files, and what the folders remember of
themselves (``manifest.json`` and the journal).
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from click.testing import CliRunner

from porchswing.cli.main import group

CHART = """title: Gate
key: F
tempo: 240
[A]
| F Dm7 | Gm7 C7 | F | F |
"""

COURSE = """title = "Old term"
[defaults]
keys    = ["as written", "Bb"]
tempos  = [180, "as written"]
formats = ["mid"]
lane = "swing"
depth = 2
grips = "any"
swap = ["tritone substitution"]
no-swap = ["side-slip"]
tuning = "gCEA"
ease = "small"
line = "4:down"
max-fret = 12
max-stretch = 4
voice = "tenor"
section = "A"
choruses = 2
seed = 3
humanize = 0.2
loudness = -20
rate = 22050
bit-depth = 24
fade = 1.5
swing = "2:1"
strum = "charleston"
bass = "two"
drums = "sticks"
density = 0.4
variation = 0.6
backbeat = 0.5
slides = 0.1
count-in = 1
ritardando = 0.1
feel = 0.5
loop = false
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["*.changes"]
"""


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "gate.changes").write_text(CHART, "utf-8")
    (folder / "course.toml").write_text(COURSE, "utf-8")
    for words in (
        ["build", str(folder / "course.toml"), "-o", str(folder / "course"), "--workers", "1"],
        ["lesson", str(folder / "gate.changes"), "-o", str(folder / "lesson"), "--formats", "ogg"],
    ):
        result = CliRunner().invoke(group, words)
        assert result.exit_code == 0, result.output
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix not in (".mid", ".changes", ".toml", ".json", ".jsonl"):
            path.unlink()
    for unneeded in (*folder.rglob("work"), folder / "lesson/compare", folder / "lesson/drills"):
        shutil.rmtree(unneeded, ignore_errors=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
