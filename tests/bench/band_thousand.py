"""A thousand random charts and seeds through the whole band: prints what broke, and the pace.

Run: python tests/bench/band_thousand.py [COUNT] [FIRST]
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from dataclasses import replace
from io import BytesIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import mido

from porchswing.band.compose import compose_score
from porchswing.band.style import BandStyle
from porchswing.chart.reader import parse_chart
from porchswing.chart.unroll import unroll
from porchswing.grips.voice import voice
from porchswing.midi.write import midi_bytes
from porchswing.performance.perform import perform
from porchswing.rhythm.patterns import load_pattern_data, pattern_names
from random_charts import random_chart
from take_rules import bar_faults, bass_faults, midi_faults, performance_faults

OTHER_DRUMS = {"4/4": "sticks", "3/4": "ride_waltz"}


def styles_for(meter: str, seed: int) -> BandStyle:
    """Return a style that wanders over all patterns of a meter."""
    fitting = {
        kind: [
            None,
            *(n for n in pattern_names(kind) if load_pattern_data(kind, n).table["meter"] == meter),
        ]
        for kind in ("bass", "drums")
    }
    return BandStyle(
        bass=fitting["bass"][seed % len(fitting["bass"])],
        drums=fitting["drums"][seed // 3 % len(fitting["drums"])],
        variation=seed % 5 / 4,
        density=seed % 7 / 6,
        slides=seed % 3 / 2,
        loop=seed % 4 == 0,
        feel=seed % 2,
        seed=seed,
    )


def faults_of(seed: int) -> list[str]:
    """Return everything wrong with the take of one random chart."""
    chart = parse_chart(random_chart(seed))
    voicing = voice(chart, lane="plain", grips="any")
    roadmap = unroll(chart, lane="plain", choruses=1 + seed % 2)
    style = styles_for(str(chart.meter), seed)
    score = compose_score(chart, roadmap, voicing, style)
    take = perform(score, humanize=seed % 11 / 10)
    data = midi_bytes(take, channel_per_string=seed % 2 == 1, gm2=seed % 3 == 0)
    bass = next(part for part in score.parts if part.name == "bass")
    faults = [
        *performance_faults(take),
        *midi_faults(mido.MidiFile(file=BytesIO(data))),
        *bar_faults(score, roadmap),
        *bass_faults(bass, roadmap, chart.key, pedal="bass/pedal" in bass.patterns),
    ]
    again = perform(compose_score(chart, roadmap, voicing, style), humanize=seed % 11 / 10)
    if midi_bytes(again, channel_per_string=seed % 2 == 1, gm2=seed % 3 == 0) != data:
        faults.append("the same seed gave other bytes")
    if str(chart.meter) in OTHER_DRUMS:
        other = compose_score(
            chart, roadmap, voicing, replace(style, drums=OTHER_DRUMS[str(chart.meter)], swing=None)
        )
        for before, after in zip(score.parts, other.parts, strict=True):
            if before.name != "drums" and before != after:
                faults.append(f"other drums changed {before.name}")
    return faults


def main() -> None:
    count, first = (int(a) for a in (*sys.argv[1:], *("1000", "0")[len(sys.argv) - 1 :]))
    kinds: Counter[str] = Counter()
    bad, started = 0, time.perf_counter()
    for seed in range(first, first + count):
        faults = faults_of(seed)
        if faults:
            bad += 1
            kinds.update(
                " ".join(w for w in f.split() if not any(c.isdigit() for c in w)) for f in faults
            )
            if bad <= 10:
                print(f"chart {seed}: {len(faults)} faults, first: {faults[0]}", flush=True)
    took = time.perf_counter() - started
    print(f"{count} charts, {bad} with faults, {took:.0f} s")
    for kind, times in kinds.most_common(20):
        print(f"{times:6}  {kind}")


if __name__ == "__main__":
    main()
