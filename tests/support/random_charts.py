"""Random but valid chart text, the same for the same seed, for sweeps over whole takes."""

from __future__ import annotations

from random import Random

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
SUFFIXES = (
    "",
    "",
    "m",
    "7",
    "7",
    "7",
    "maj7",
    "m7",
    "m7",
    "6",
    "m6",
    "9",
    "m7b5",
    "dim7",
    "7#5",
    "sus4",
)
METERS = ("4/4", "4/4", "4/4", "3/4", "2/4", "6/8", "5/4", "7/8", "12/8")
MARKS = ("slide", "fall", "push", "hold", "roll", "chuck", "stop")
KEYS = ("C", "F", "Bb", "Eb", "G", "D", "A minor", "G minor", "E")


def random_chart(seed: int, meter: str | None = None) -> str:
    """Return the text of a chart of one to three sections in some meter."""
    chance = Random(f"chart/{seed}")
    meter = meter or chance.choice(METERS)
    names = "ABC"[: chance.randint(1, 3)]
    lines = [
        f"title: Random {seed}",
        f"key: {chance.choice(KEYS)}",
        f"meter: {meter}",
        f"tempo: {chance.randint(50, 260)}",
        f"swing: {chance.choice(('auto', '2', '1.5', 'straight', '66%', '3'))}",
        f"form: {' '.join(chance.choice(names) for _ in range(chance.randint(1, 4)))} {names[-1]}",
        "",
    ]
    for name in names:
        lines.append(f"[{name}]")
        lines.extend(_line(chance, meter) for _ in range(chance.randint(1, 3)))
    return "\n".join(lines) + "\n"


def _line(chance: Random, meter: str) -> str:
    bars = [_bar(chance, meter) for _ in range(chance.randint(1, 4))]
    return f"| {' | '.join(bars)} |"


def _bar(chance: Random, meter: str) -> str:
    count = int(meter.partition("/")[0])
    sizes = [n for n in (1, 2, 3, 4, 6) if count % n == 0 and n <= 4]
    chords = [_chord(chance) for _ in range(chance.choice(sizes))]
    return " ".join(chords)


def _chord(chance: Random) -> str:
    if chance.random() < 0.05:
        return "N.C."
    root = chance.choice(ROOTS)
    symbol = root + chance.choice(SUFFIXES)
    if chance.random() < 0.12:
        symbol += "/" + chance.choice([r for r in ROOTS if r != root])
    if chance.random() < 0.12:
        symbol += "{" + chance.choice(MARKS) + "}"
    return symbol
