"""How fast a chart becomes a WAV, against FluidSynth rendering the same MIDI.

Whole cold processes, taken in turns in one run: ``porchswing render CHART -o x.wav`` on one and on
two threads; ``fluidsynth -F`` with its defaults; ``fluidsynth`` in its best two-core
configuration found (no reverb or chorus, two synthesis cores, large buffers, dynamic sample
loading). Prints medians and ratios of wall and CPU time, peak memory, and an hour of music.

Run from the checkout: ``python tests/bench/render_speed.py [--runs N] [--minutes 60]``. It needs
``fluidsynth`` and the FluidR3 General MIDI SoundFont of Debian's ``fluid-soundfont-gm``.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CHART = ROOT / "demos" / "lantern_street_stroll.changes"
SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
CHORUSES = 3

FLUID_BEST = (
    "-R", "0", "-C", "0", "-o", "synth.cpu-cores=2", "-z", "4096",
    "-o", "synth.dynamic-sample-loading=1",
)  # fmt: skip


def timed(command: list[str], environment: dict[str, str]) -> tuple[float, float, float]:
    """Run a command; return its wall seconds, CPU seconds and peak memory in MB."""
    start = time.perf_counter()
    child = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment
    )
    _, status, usage = os.wait4(child.pid, 0)
    wall_s = time.perf_counter() - start
    if status:
        raise SystemExit(f"{command[0]} failed: {' '.join(command)}")
    return wall_s, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1000


def surroundings(own_kernels: bool) -> dict[str, str]:
    """Return the environment of what is timed: this one, without what would falsify the figures.

    Installed software runs from its bytecode; where Python is told to write none, a checkout would
    be compiled in every turn. The first turn, which is not timed, writes it. ``own_kernels`` leaves
    the BLAS its own choice of kernels (both switches unset).
    """
    hidden = {"PYTHONDONTWRITEBYTECODE"}
    if own_kernels:
        hidden |= {"OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE"}
    return {name: value for name, value in os.environ.items() if name not in hidden}


def main() -> None:
    """Time everything in turns and print the table."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--runs", type=int, default=9)
    options.add_argument(
        "--minutes", type=int, default=60, help="length of the long track; 0: none"
    )
    options.add_argument("--chart", type=Path, default=CHART)
    options.add_argument("--own-kernels", action="store_true", help="unset OPENBLAS_CORETYPE")
    chosen = options.parse_args()
    environment = surroundings(chosen.own_kernels)
    porchswing = [sys.executable, "-m", "porchswing.cli.main"]
    program = Path(sys.executable).with_name("porchswing")
    if program.exists():
        porchswing = [str(program)]
    with tempfile.TemporaryDirectory() as folder:
        wav, midi = Path(folder) / "ours.wav", Path(folder) / "take.mid"
        render = [*porchswing, "render", str(chosen.chart), "--choruses", str(CHORUSES), "--force"]
        timed([*render, "-o", str(midi)], environment)
        fluid = ["fluidsynth", "-ni", "-F", str(Path(folder) / "theirs.wav")]
        rivals = {
            "porchswing, cold": [*render, "-o", str(wav)],
            "fluidsynth defaults": [*fluid, str(SOUNDFONT), str(midi)],
            "fluidsynth two cores": [*fluid, *FLUID_BEST, str(SOUNDFONT), str(midi)],
        }
        runs: dict[str, list[tuple[float, float, float]]] = {name: [] for name in rivals}
        for turn in range(chosen.runs + 1):
            for name, command in rivals.items():
                result = timed(command, environment)
                if turn:  # the first turn only warms the disk
                    runs[name].append(result)
        report(runs, wav)
        if chosen.minutes:
            long_track(render, Path(folder) / "hour.wav", chosen.minutes, wav, environment)


def seconds_of(wav: Path) -> float:
    """Return the length of our 16-bit stereo 44.1 kHz file."""
    return (wav.stat().st_size - 44) / 4 / 44100


def report(runs: dict[str, list[tuple[float, float, float]]], wav: Path) -> None:
    """Print medians, spread and ratios."""
    print(f"track of {seconds_of(wav):.1f} s, {len(next(iter(runs.values())))} turns, load "
          f"{os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")  # fmt: skip
    print(f"{'':22}{'wall s':>8}{'(min':>8}{'max)':>8}{'CPU s':>8}{'MB':>8}")
    medians = {}
    for name, results in runs.items():
        wall, cpu, memory = (sorted(values) for values in zip(*results, strict=True))
        medians[name] = (statistics.median(wall), statistics.median(cpu), wall[0])
        print(f"{name:22}{medians[name][0]:8.3f}{wall[0]:8.3f}{wall[-1]:8.3f}"
              f"{medians[name][1]:8.3f}{memory[-1]:8.0f}")  # fmt: skip
    ours = medians["porchswing, cold"]
    for name, theirs in medians.items():
        if theirs is not ours:
            ratios = [other / own for other, own in zip(theirs, ours, strict=True)]
            print(f"{name} / porchswing: {ratios[0]:.2f} by wall medians, {ratios[1]:.2f} by CPU "
                  f"medians, {ratios[2]:.2f} by best walls")  # fmt: skip


def long_track(
    render: list[str], path: Path, minutes: int, short: Path, environment: dict[str, str]
) -> None:
    """Render about so many minutes and print speed and memory."""
    choruses = max(1, round(CHORUSES * minutes * 60 / seconds_of(short)))
    place = render.index("--choruses") + 1
    command = [*render[:place], str(choruses), *render[place + 1 :], "-o", str(path)]
    wall_s, cpu_s, memory = timed(command, environment)
    length_s = seconds_of(path)
    print(f"{length_s / 60:.1f} minutes: {wall_s:.2f} s wall, {cpu_s:.2f} s CPU, {memory:.0f} MB, "
          f"{length_s / wall_s:.0f} times real time")  # fmt: skip


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    main()
