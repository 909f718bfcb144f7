"""A thousand random charts and seeds through the whole band: prints what broke, and the pace.

Run: python tests/bench/band_thousand.py [COUNT] [FIRST]
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from support.take_rules import faults_of


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
