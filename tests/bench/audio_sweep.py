"""Not one bad sample: every strum, bass and drum pattern, twelve keys, tempos from 40 to 300.

Renders a short chart for every pattern in every key and at several tempos and prints the worst
true peak before and after the master, the loudest DC, and any sample that is not a number or
passes full scale (there must be none). Of every so many takes the stems are written too, which
must sum to their mix, and a loop, which must be the take with its tail added to its front.

Run from the checkout: ``python tests/bench/audio_sweep.py [--tempos 40 100 180 300] [--keys 12]
[--first-key 0] [--stems-every 10]``.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import soundfile

from porchswing.audio.master.audio_files import write_files, write_stems
from porchswing.audio.mix.mixdown import TAIL_S, render_blocks
from porchswing.audio.mix.strikes import schedule_of
from porchswing.chart.language.reader import parse_chart
from porchswing.errors import PorchswingError
from porchswing.options import BandStyle, Choices, SoundSettings
from porchswing.rhythm.patterns import pattern_names
from porchswing.take import take_from_chart

KEYS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
CHART = """title: Sweep
key: C
meter: {meter}

[A]
| C | A7 | Dm7 | G7 | C#dim7 | G9 | Fm6 | C6{{hold}} |
"""
METERS = ("4/4", "3/4", "6/8", "2/4", "12/8")


def takes(kinds, keys, tempos):
    """Yield every combination that makes sense: its name and its take."""
    for kind in kinds:
        for name in pattern_names(kind):
            chart = None
            for meter in METERS:
                candidate = parse_chart(CHART.format(meter=meter))
                style = replace(BandStyle(), **{kind: name})
                try:
                    take_from_chart(candidate, Choices(style=style))
                except PorchswingError:
                    continue
                chart = candidate
                break
            if chart is None:
                print(f"{kind} {name}: fits none of {', '.join(METERS)}")
                continue
            for key in keys:
                for tempo in tempos:
                    chosen = replace(style, tempo_bpm=tempo)
                    yield (
                        f"{kind} {name} {key} {tempo}",
                        take_from_chart(chart, Choices(key=key, style=chosen)),
                    )


def stems_apart(performance, mix, folder, sound):
    """Return how many steps of 16 bits the sum of the stems lies from the mix at most."""
    paths = {part.name: folder / f"{part.name}.wav" for part in performance.parts if part.notes}
    write_stems(schedule_of(performance), paths, sound)
    total = sum(soundfile.read(path, dtype="int16")[0].astype(np.int64) for path in paths.values())
    return int(np.abs(total - mix).max())


def seam_apart(performance, rate_hz):
    """Return how far a loop lies from the take with its tail added to its front, at most.

    A take ends at most ``TAIL_S`` after its last bar; a loop keeps what rings on after that, and
    may be a frame longer.
    """
    once, loop = (
        np.concatenate(list(render_blocks(performance, rate_hz, loop=is_loop)))
        for is_loop in (False, True)
    )
    folded = np.zeros_like(loop)
    for first in range(0, len(once), len(loop)):
        piece = once[first : first + len(loop)]
        folded[: len(piece)] += piece
    cut = round(TAIL_S * rate_hz) - 1
    known = len(loop) if len(once) - len(loop) < cut else cut
    return float(np.abs(folded - loop)[:known].max())


def main() -> None:
    """Sweep and print the worst of everything."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--keys", type=int, default=12, help="how many of the twelve keys")
    options.add_argument("--first-key", type=int, default=0, help="which of the twelve comes first")
    options.add_argument("--stems-every", type=int, default=10, help="takes; 0: never")
    options.add_argument("--tempos", type=float, nargs="+", default=[40, 90, 160, 300])
    options.add_argument("--kinds", nargs="+", default=["strum", "bass", "drums"])
    options.add_argument("--rate", type=int, default=44100)
    chosen = options.parse_args()
    worst_peak, worst_dc, least_room, bad = (-99.0, ""), (0.0, ""), (99.0, ""), []
    apart, seam = (0, ""), (0.0, "")
    count, length_s, start = 0, 0.0, time.perf_counter()
    keys = KEYS[chosen.first_key :][: chosen.keys]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.wav"
        for name, take in takes(chosen.kinds, keys, chosen.tempos):
            settings = SoundSettings(rate_hz=chosen.rate)
            report = write_files(schedule_of(take.performance), [path], settings)
            sound = soundfile.read(path, dtype="int16")[0]
            largest = max(int(sound.max()), -int(sound.min()))
            finite = np.isfinite([report.loudness_lufs, report.true_peak_dbtp]).all()
            if largest >= 32767 or not finite or report.true_peak_dbtp > -1.0 + 1e-6:
                bad.append(name)
            dc_dbfs = 20 * np.log10(max(np.abs(sound.mean(axis=0)).max() / 32768, 1e-9))
            worst_peak = max(worst_peak, (report.true_peak_dbtp, name))
            least_room = min(least_room, (-report.held_back_db, name))
            worst_dc = max(worst_dc, (dc_dbfs + 200, name))
            if chosen.stems_every and count % chosen.stems_every == 0:
                gap = stems_apart(take.performance, sound, Path(folder), settings)
                apart = max(apart, (gap, name))
                seam = max(seam, (seam_apart(take.performance, chosen.rate), name))
            count, length_s = count + 1, length_s + report.seconds
    print(
        f"{count} takes, {length_s / 60:.0f} minutes of sound, {time.perf_counter() - start:.0f} s"
    )
    print(f"worst true peak {worst_peak[0]:.2f} dBTP ({worst_peak[1]})")
    print(f"most held back by the ceiling {-least_room[0]:.1f} dB ({least_room[1]})")
    print(f"largest DC {worst_dc[0] - 200:.1f} dBFS ({worst_dc[1]})")
    print(f"stems from their mix: {apart[0]} steps of 16 bits at most ({apart[1]})")
    print(f"loops from the take with its tail in front: {seam[0]:.1e} at most ({seam[1]})")
    print(f"samples at full scale, not a number or above the ceiling: {len(bad)} takes {bad[:10]}")
    sys.exit(bool(bad))


if __name__ == "__main__":
    main()
