"""Does a published beat tracker find the tempo that was asked for?

madmom's recurrent networks and dynamic Bayesian tracker (Böck, Krebs & Widmer, "Joint beat and
downbeat tracking with recurrent neural networks", ISMIR 2016; weights ship in its package) listen
to a demo at several tempos. Its usual range ends at 215 bpm; here it is 50 to 300, as ours may be.

The tracker needs an environment of its own. Its last release holds C files made for older Pythons
and names that numpy has dropped: unpack its source, delete the ``.c`` files, write ``float``,
``int``, ``bool`` and ``object`` for ``np.float`` …, and install that::

    python3.11 -m venv tracker
    tracker/bin/pip install "cython<3" "numpy<1.24" scipy mido "setuptools<70" wheel
    tracker/bin/pip install --no-build-isolation --no-deps UNPACKED

Run from the checkout: ``python tests/bench/beat_tracker.py --tracker tracker/bin/python
[--tempos 60 138 260] [CHART]``. Fails where the tempo found is more than 2 % off.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from porchswing.chart.language.reader import read_chart
from porchswing.options import Choices
from porchswing.take import take_from_chart

ROOT = Path(__file__).resolve().parents[2]
MOST_OFF = 0.02

TRACKER = """
import json, sys, warnings
warnings.filterwarnings("ignore")
from madmom.features.beats import DBNBeatTrackingProcessor, RNNBeatProcessor
track = DBNBeatTrackingProcessor(fps=100, min_bpm=50, max_bpm=300)
beats = [track(RNNBeatProcessor()(path)) for path in sys.argv[1:]]
print(json.dumps([60.0 * (len(one) - 1) / (one[-1] - one[0]) for one in beats]))
"""


def main() -> None:
    """Print the tempo found beside the one asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tracker", required=True, help="python of the tracker's environment")
    parser.add_argument("--tempos", type=float, nargs="+", default=[60.0, 138.0, 260.0])
    demo = ROOT / "demos" / "lantern_street_stroll.changes"
    parser.add_argument("chart", nargs="?", type=Path, default=demo)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{tempo:g}.wav" for tempo in options.tempos]
        for tempo, path in zip(options.tempos, paths, strict=True):
            choices = Choices()
            choices = replace(choices, style=replace(choices.style, tempo_bpm=tempo))
            take_from_chart(read_chart(options.chart), choices).write_audio(path)
        command = [options.tracker, "-c", TRACKER, *map(str, paths)]
        found = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
    failed = False
    for tempo, heard in zip(options.tempos, found, strict=True):
        off = heard / tempo - 1.0
        print(f"asked {tempo:6.1f} bpm, heard {heard:7.2f}, off {100 * off:+.2f} %")
        failed |= abs(off) > MOST_OFF
    sys.exit(failed)


if __name__ == "__main__":
    main()
