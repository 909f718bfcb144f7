"""Play both lanes of random tunes at once, from their MIDI files, and count chord tones that rub.

Run it from the repository: ``python tests/bench/together_sweep.py 500 7``, so many tunes and a
seed. Notes on their way to a chord tone (a slide, a hammered string) are counted apart.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.writer import write_chart
from porchswing.chart.model import Chart
from support.both_lanes import HANDOVER_S, Rub, both_lanes
from support.sweeping import sweep


def main(count: int, start: int) -> None:
    """Sweep so many tunes from a seed; print every one whose chord tones rub."""
    found: list[str] = []
    passing: list[Rub] = []

    def look(chart: Chart, depth: int) -> None:
        rubbing = both_lanes(chart, depth)
        tones = [rub for rub in rubbing if rub.is_of_tones]
        passing.extend(rub for rub in rubbing if not rub.is_of_tones)
        if tones:
            said = replace(chart, settings=replace(chart.settings, depth=depth))
            found.append("\n".join([*map(str, tones), write_chart(said)]))

    sweep(count, start, look)
    handed = [rub for rub in passing if rub.seconds <= HANDOVER_S]
    moving = [rub for rub in passing if rub.seconds > HANDOVER_S]
    longest_s = max((rub.seconds for rub in moving), default=0.0)
    sys.stdout.write("\n".join(found))
    sys.stdout.write(
        f"\n{len(found)} of {count} tunes have chord tones that rub; {len(handed)} notes meet for "
        f"at most {HANDOVER_S} s, {len(moving)} while one moves (the longest {longest_s:.2f} s)\n"
    )


if __name__ == "__main__":
    given_numbers = [int(word) for word in sys.argv[1:]]
    main(*given_numbers, *(500, 1)[len(given_numbers) :])
