"""Coverage-guided fuzzing of the text readers with atheris: one reader a run.

Usage: ``python tests/bench/atheris_readers.py READER SECONDS``, READER one of chart, symbol,
numeral, strum, bass, drums, course, hand.

Only the project's own errors may come out; anything else ends the run with the input that
caused it. Now and then a line says how many inputs were tried and how many of them were read.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["porchswing"]):
    from porchswing.band.bass.bass_part import parse_bass_style
    from porchswing.band.drumming.drum_part import parse_drum_groove
    from porchswing.chart.language.numerals import parse_numeral
    from porchswing.chart.language.reader import parse_chart
    from porchswing.chart.language.writer import write_chart
    from porchswing.course.course_file import parse_course
    from porchswing.errors import PorchswingError
    from porchswing.grips.shapes.hand import read_ease
    from porchswing.rhythm.patterns import read_pattern_text
    from porchswing.rhythm.strum import strum_pattern
    from porchswing.theory.keys import Key
    from porchswing.theory.symbols import parse_chord

KEYS = tuple(Key.parse(name) for name in ("C", "F#", "Cb", "A minor", "Eb minor"))
ROOT = Path(__file__).resolve().parents[2]


def fuzz_chart(text: str) -> None:
    chart = parse_chart(text)
    if parse_chart(write_chart(chart)) != chart:
        raise AssertionError("the chart does not read back")


def fuzz_symbol(text: str) -> None:
    chord = parse_chord(text)
    if parse_chord(chord.symbol) != chord:
        raise AssertionError("the chord does not read back")


def fuzz_numeral(text: str) -> None:
    parse_numeral(text[1:], KEYS[ord(text[0]) % len(KEYS)] if text else KEYS[0])


def fuzz_strum(text: str) -> None:
    strum_pattern(read_pattern_text("strum", "fuzz", "fuzz.toml", text))


def fuzz_bass(text: str) -> None:
    parse_bass_style(read_pattern_text("bass", "fuzz", "fuzz.toml", text))


def fuzz_drums(text: str) -> None:
    parse_drum_groove(read_pattern_text("drums", "fuzz", "fuzz.toml", text))


def fuzz_course(text: str) -> None:
    parse_course(text)


def fuzz_hand(text: str) -> None:
    read_ease(text, "fuzz.toml")


READERS: dict[str, Callable[[str], None]] = {
    "chart": fuzz_chart,
    "symbol": fuzz_symbol,
    "numeral": fuzz_numeral,
    "strum": fuzz_strum,
    "bass": fuzz_bass,
    "drums": fuzz_drums,
    "course": fuzz_course,
    "hand": fuzz_hand,
}
SEEDS = {
    "chart": "demos/*.changes",
    "strum": "patterns/strum/*.toml",
    "bass": "patterns/bass/*.toml",
    "drums": "patterns/drums/*.toml",
}
"""Files of ours that show the fuzzer what a reader likes."""
OWN_SEEDS = {
    "symbol": ("C7(b9,#5)", "F#m7b5/E", "Bbmaj7#11", "A13sus4", "E°7", "C6/9"),
    "numeral": ("0ii7", "1bVII7/3", "2V7/ii", "35^7"),
    "course": (
        'title = "x"\n[defaults]\nkeys = ["as written", "F"]\ntempos = [80]\n'
        'formats = ["wav"]\n[defaults.mixes]\nfull = []\n[[tune]]\ncharts = ["*.changes"]\n',
    ),
}


def main() -> None:
    name, seconds = sys.argv[1], sys.argv[2]
    reader = READERS[name]
    tried = read = 0
    started = time.monotonic()

    def one_input(data: bytes) -> None:
        nonlocal tried, read
        tried += 1
        try:
            reader(data.decode("utf-8", errors="replace"))
            read += 1
        except PorchswingError:
            pass
        if tried & (tried - 1) == 0 or tried % 50_000 == 0:
            seconds_gone = time.monotonic() - started
            print(f"{name}: {tried:,} inputs in {seconds_gone:.0f} s, {read:,} were read")

    folder = tempfile.mkdtemp(prefix="porchswing-fuzz-")
    seeds = [path.read_bytes() for path in ROOT.glob(SEEDS[name])] if name in SEEDS else []
    seeds.extend(text.encode() for text in OWN_SEEDS.get(name, ()))
    for number, seed in enumerate(seeds):
        (Path(folder) / f"seed{number}").write_bytes(seed)
    limits = [f"-max_total_time={seconds}", "-max_len=2500", "-timeout=20", "-rss_limit_mb=1500"]
    atheris.Setup([sys.argv[0], *limits, f"-artifact_prefix={folder}/", folder], one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
