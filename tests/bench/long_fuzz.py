"""A long hypothesis run of arbitrary text against the chart and chord readers.

Usage: ``python tests/bench/long_fuzz.py SECONDS``. Prints how many texts were tried, how many
were charts, and the slowest; any error but the project's own ends the run.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.language.writer import write_chart
from porchswing.errors import ChartError, ChordSymbolError
from porchswing.theory.symbols import parse_chord
from support.strategies import SYMBOL_CHARACTERS, chart_like_text, charts, chord_symbols

MADE = charts(swing=False).map(write_chart)  # slow to make, so one text in six
TEXTS = (
    st.text(max_size=400)
    | st.text(max_size=60)
    | st.text(SYMBOL_CHARACTERS + "\n[] ", max_size=200)
    | chart_like_text()
    | chart_like_text()
    | st.tuples(MADE, st.integers(0, 2000), st.text(max_size=3)).map(
        lambda cut: cut[0][: cut[1]] + cut[2] + cut[0][cut[1] :]
    )
)
SYMBOLS = st.text(max_size=40) | st.text(SYMBOL_CHARACTERS, max_size=24) | chord_symbols()


def main() -> None:
    end = time.monotonic() + float(sys.argv[1])
    counts = {"texts": 0, "charts": 0, "symbols": 0, "chords": 0}
    slowest_s = 0.0

    def try_text(text: str, symbol: str) -> None:
        nonlocal slowest_s
        started = time.perf_counter()
        counts["texts"] += 1
        counts["symbols"] += 1
        try:
            chart = parse_chart(text)
        except ChartError:
            pass
        else:
            counts["charts"] += 1
            assert parse_chart(write_chart(chart)) == chart
        try:
            parse_chord(symbol)
            counts["chords"] += 1
        except ChordSymbolError:
            pass
        slowest_s = max(slowest_s, time.perf_counter() - started)

    round_number = 0
    while time.monotonic() < end:
        round_number += 1
        run = settings(
            max_examples=2_000,
            deadline=None,
            database=None,
            phases=(Phase.generate, Phase.shrink),
            suppress_health_check=list(HealthCheck),
        )(seed(round_number)(given(TEXTS, SYMBOLS)(try_text)))
        run()
        print(f"round {round_number}: {counts}, slowest {slowest_s * 1000:.0f} ms", flush=True)


if __name__ == "__main__":
    main()
