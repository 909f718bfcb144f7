"""How long the best way through a chart takes, and how that grows with its bars.

Times are of the processor, so that a busy machine does no harm: the least of three with empty
caches, as in a fresh process, and the median of later ones.
Before fingerings were chosen with the path, on the machine of these figures: 32 bars 4.1 ms, empty
caches 8.2; guitar, any grip 148; with muted strings 1,124; 512 bars 207. Since: 19 and 26; 257;
1,462; 600 (2,000 bars about 2.2 s). Since costs are kept and tables built once, on a machine of
half that speed, busy (39 and 50 before, 2,000 bars 4.7 s): 7 and 32; 162; 1,049; 456;
2,000 bars 3.6 s.
Run: python tests/bench/grips_speed.py
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable

from porchswing.chart.language.reader import parse_chart
from porchswing.grips.search import cost, form_voicing, line_cost, table
from porchswing.grips.search.best_key import rank_keys
from porchswing.grips.search.voice import voice, voicings
from porchswing.grips.shapes import enumerate, fingers, rules
from porchswing.grips.shapes.hand import read_ease

AABA = """key: F
form: A A B A
[A]
| F6 D9 | Gm7 C9 | F6 F#dim7 | Gm7 C9 | F6 F9 | Bb6 Bbm6 | F6 C9 | F6 |
[B]
| A9 | % | D9 | % | G9 | % | C9 | C9 C7#5 |
"""
ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
SUFFIXES = ["7", "9", "m7", "6", "maj7", "m6", "dim7", "13"]


def long_chart(bars: int) -> str:
    """One section of so many bars, two chords each."""
    rng = random.Random("long chart")
    cells = [
        " ".join(rng.choice(ROOTS) + rng.choice(SUFFIXES) for _ in range(2)) for _ in range(bars)
    ]
    return "[A]\n| " + " | ".join(cells) + " |"


def forget() -> None:
    """Empty every cache, as in a fresh process."""
    for module in (cost, enumerate, fingers, form_voicing, line_cost, rules, table):
        for name in dir(module):
            clear = getattr(getattr(module, name), "cache_clear", None)
            if clear:
                clear()


def timed(job: Callable[[], object], times: int = 7) -> tuple[float, float]:
    """Milliseconds: with empty caches (the least of three), and the median of later runs."""
    cold = []
    for _ in range(3):
        forget()
        start = time.process_time()
        job()
        cold.append(time.process_time() - start)
    later = []
    for _ in range(times):
        start = time.process_time()
        job()
        later.append(time.process_time() - start)
    return 1000 * min(cold), 1000 * statistics.median(later)


def show(name: str, job: Callable[[], object], times: int = 7) -> None:
    cold, warm = timed(job, times)
    print(f"{name:<46} {cold:9.1f} ms {warm:9.1f} ms")


def main() -> None:
    print(f"{'':<46} {'empty caches':>12} {'later':>12}")
    tune = parse_chart(AABA)
    voice(tune)
    show("32-bar A A B A on gCEA", lambda: voice(tune))
    show("the same, sevenths offered as ninths", lambda: voice(tune, offers=["9|7|13"]))
    show("the same, each pass free", lambda: voice(tune, tied=False))
    show("the same, ten best ways", lambda: voicings(tune, best=10), 3)
    show("the same in all twelve keys", lambda: rank_keys(tune), 3)
    show("the same with six shapes", lambda: voice(tune, ease=read_ease("[shapes]\nnew = 6")), 3)
    show("the same on guitar, six strings closed", lambda: voice(tune, tuning="guitar"), 3)
    show("the same on guitar 6432", lambda: voice(tune, tuning="guitar 6432"), 3)
    show("the same on guitar, any grip", lambda: voice(tune, tuning="guitar", grips="any"), 3)
    job = lambda: voice(tune, tuning="guitar", grips="any", mutes=True)  # noqa: E731
    show("the same on guitar, any grip, muted strings too", job, 1)
    print("\ngrowth with bars, one section, caches warm")
    before = 0.0
    for bars in (32, 64, 128, 256, 512, 2000):
        chart = parse_chart(long_chart(bars))
        voice(chart)
        _, warm = timed(lambda chart=chart: voice(chart), 3)
        ratio = f"{warm / before:5.2f} times" if before else ""
        print(f"  {bars:>5} bars {warm:9.1f} ms  {warm / bars:6.3f} ms a bar  {ratio}")
        before = warm


if __name__ == "__main__":
    main()
