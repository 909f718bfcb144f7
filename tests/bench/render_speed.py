"""How fast a chart becomes a WAV, against FluidSynth rendering the same MIDI.

Whole cold processes, taken in turns in one run: ``porchswing render CHART -o x.wav``;
``fluidsynth -F`` with its defaults; ``fluidsynth`` in its best two-core configuration found (no
reverb or chorus, two synthesis cores, large buffers, dynamic sample loading). Prints medians and
ratios of wall and CPU time, peak memory (in a turn of its own), and an hour of music; time and
memory are those of a program with all processes it starts. Linux only.

Run from the checkout: ``python tests/bench/render_speed.py [--runs N] [--minutes 60]``. It needs
``fluidsynth`` and the FluidR3 General MIDI SoundFont of Debian's ``fluid-soundfont-gm``.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CHART = ROOT / "demos" / "lantern_street_stroll.changes"
SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
CHORUSES = 3

FLUID_BEST = (
    "-R", "0", "-C", "0", "-o", "synth.cpu-cores=2", "-z", "4096",
    "-o", "synth.dynamic-sample-loading=1",
)  # fmt: skip


def timed(command: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Run a command; return its wall seconds, and its CPU seconds with all processes it made.

    What it leaves running is ours to wait for (we are its reaper), so none of its work is missed.
    """
    start = time.perf_counter()
    child = started(command, environment)
    _, status, usage = os.wait4(child.pid, 0)
    wall_s = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    if status:
        raise SystemExit(f"{command[0]} failed: {' '.join(command)}")
    cpu_s = usage.ru_utime + usage.ru_stime
    with suppress(ChildProcessError):
        while True:
            _, _, usage = os.wait4(-1, 0)
            cpu_s += usage.ru_utime + usage.ru_stime
    return wall_s, cpu_s


def peak_mb(command: list[str], environment: dict[str, str]) -> float:
    """Run a command by itself; return the most memory that it and its processes took at once.

    Pages shared between processes count once (Linux' proportional set size, looked at again and
    again), so this is what the machine must have.
    """
    child = started(command, environment)
    peak_kb = 0
    while child.poll() is None:
        peak_kb = max(peak_kb, sum(map(held_kb, family(child.pid))))
    return peak_kb / 1000


def started(command: list[str], environment: dict[str, str]) -> subprocess.Popen[bytes]:
    """Start a command whose output nobody reads."""
    return subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment
    )


def family(pid: int) -> list[int]:
    """Return a process and all below it."""
    try:
        below = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        return []
    return [pid, *(member for child in below for member in family(int(child)))]


def held_kb(pid: int) -> int:
    """Return the proportional set size of a process, 0 when it is gone."""
    try:
        rows = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0
    return next((int(row.split()[1]) for row in rows if row.startswith("Pss:")), 0)


def become_reaper() -> None:
    """Let orphans of what we start become our children (prctl, PR_SET_CHILD_SUBREAPER)."""
    ctypes.CDLL(None).prctl(36, 1, 0, 0, 0)


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
    porchswing = [sys.executable, "-m", "porchswing"]
    program = Path(sys.executable).with_name("porchswing")
    if program.exists():
        porchswing = [str(program)]
    with tempfile.TemporaryDirectory() as folder:
        wav, midi = Path(folder) / "ours.wav", Path(folder) / "take.mid"
        render = [*porchswing, "render", str(chosen.chart), "--choruses", str(CHORUSES), "--force"]
        timed([*render, "-o", str(midi)], environment)
        theirs = Path(folder) / "theirs.wav"
        fluid = ["fluidsynth", "-ni", "-F", str(theirs)]
        rivals = {
            "porchswing, cold": [*render, "-o", str(wav)],
            "fluidsynth defaults": [*fluid, str(SOUNDFONT), str(midi)],
            "fluidsynth two cores": [*fluid, *FLUID_BEST, str(SOUNDFONT), str(midi)],
        }
        runs: dict[str, list[tuple[float, float]]] = {name: [] for name in rivals}
        for turn in range(chosen.runs + 1):
            for name, command in rivals.items():
                for old in (wav, theirs):  # every turn writes a new file, for both
                    old.unlink(missing_ok=True)
                result = timed(command, environment)
                if turn:  # the first turn only warms the disk
                    runs[name].append(result)
        memory = {name: peak_mb(command, environment) for name, command in rivals.items()}
        report(runs, memory, wav)
        if chosen.minutes:
            long_track(render, Path(folder) / "hour.wav", chosen.minutes, wav, environment)


def seconds_of(wav: Path) -> float:
    """Return the length of our 16-bit stereo 44.1 kHz file."""
    return (wav.stat().st_size - 44) / 4 / 44100


def report(runs: dict[str, list[tuple[float, float]]], memory: dict[str, float], wav: Path) -> None:
    """Print medians, spread and ratios."""
    print(f"track of {seconds_of(wav):.1f} s, {len(next(iter(runs.values())))} turns, load "
          f"{os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")  # fmt: skip
    print(f"{'':22}{'wall s':>8}{'(min':>8}{'max)':>8}{'CPU s':>8}{'MB':>8}")
    medians = {}
    for name, results in runs.items():
        wall, cpu = (sorted(values) for values in zip(*results, strict=True))
        medians[name] = (statistics.median(wall), statistics.median(cpu), wall[0])
        print(f"{name:22}{medians[name][0]:8.3f}{wall[0]:8.3f}{wall[-1]:8.3f}"
              f"{medians[name][1]:8.3f}{memory[name]:8.0f}")  # fmt: skip
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
    wall_s, cpu_s = timed(command, environment)
    memory = peak_mb(command, environment)
    length_s = seconds_of(path)
    print(f"{length_s / 60:.1f} minutes: {wall_s:.2f} s wall, {cpu_s:.2f} s CPU, {memory:.0f} MB, "
          f"{length_s / wall_s:.0f} times real time")  # fmt: skip


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    become_reaper()
    main()
