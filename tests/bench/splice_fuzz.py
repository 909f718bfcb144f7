"""Fuzz by splicing: pieces of good files cut, doubled, swapped and salted, by the ten thousand.

    python tests/bench/splice_fuzz.py charts|courses|commands|imports COUNT [SEED]

Only the project's own errors may come out of a reader, only 0, 1 or 2 out of a command line, each
within 20 s of processor time and two minutes in all; imports run in their box of memory and time.
Unlike the hypothesis strategies this starts from good texts, so most inputs get far. Prints how
many were read, how many refused and the slowest.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SALT = "|/%{}[]()@#:,.x0123456789abcdefgABCDEFGmb♭♯△°ø\t\n\r \"'<>&;-_=~^*\\\0\u202e\ud800é漢🎵"
CPU_LIMIT_S = 20.0
HANG_S = 120.0
Reader = Callable[[str], None]
Maker = Callable[[random.Random], str]


def spliced(rng: random.Random, texts: list[str]) -> str:
    """Return a good text with some of its lines and letters changed."""
    lines = rng.choice(texts).split("\n")
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(lines))
        match rng.randrange(7):
            case 0:
                del lines[at : at + rng.randint(1, 3)]
            case 1:
                lines[at:at] = rng.choice(texts).split("\n")[: rng.randint(1, 6)]
            case 2:
                lines[at] = lines[at] * rng.choice((2, 3, 30))
            case 3:
                other = rng.randrange(len(lines))
                lines[at], lines[other] = lines[other], lines[at]
            case 4:
                cut = rng.randint(0, len(lines[at]))
                lines[at] = lines[at][:cut] + rng.choice(lines)[cut:]
            case _:
                for _ in range(rng.randint(1, 4)):
                    cut = rng.randint(0, len(lines[at]))
                    salt = rng.choice(SALT) * rng.choice((1, 1, 1, 9))
                    lines[at] = lines[at][:cut] + salt + lines[at][cut + rng.randint(0, 2) :]
        lines = lines or [""]
    return "\n".join(lines)


def chart_reader() -> tuple[Reader, list[str]]:
    from porchswing.chart.language.mending import mend
    from porchswing.chart.language.reader import parse_chart
    from porchswing.chart.language.writer import write_chart

    def read(text: str) -> None:
        if hash(text) % 10 == 0:  # it reads every doubtful word three ways
            mend(text)
        chart = parse_chart(text)
        assert parse_chart(write_chart(chart)) == chart

    return read, [path.read_text("utf-8") for path in sorted((ROOT / "demos").glob("*.changes"))]


COURSE = """title = "First term"
[defaults]
keys    = ["as written", "F"]
tempos  = [80, "as written", "60%"]
formats = ["wav", "mid"]
swing = "2:1"
humanize = 0.4
[defaults.mixes]
full     = []
practice = ["chords"]
[[tune]]
charts = ["first/*.changes"]
tempos = [60, 80]
depth = 3
[[tune]]
charts = ["*.changes", "b.changes"]
"""


def course_reader() -> tuple[Reader, list[str]]:
    from porchswing.course.course_file import parse_course

    return lambda text: parse_course(text) and None, [COURSE]


def import_reader() -> tuple[Reader, list[str]]:
    from click.testing import CliRunner

    from porchswing.cli.main import group
    from porchswing.notation.reading.box import import_in_box

    folder = Path(tempfile.mkdtemp())
    chart = ROOT / "demos" / "lantern_street_stroll.changes"
    CliRunner().invoke(group, ["export", str(chart), "-o", str(folder / "a.musicxml")])
    abc = 'X:1\nT:Tune\nM:4/4\nL:1/4\nK:F\n"F"FAcA|"Gm7"GBdB|"C7"cege|"F"f4|]\n'
    texts = [(folder / "a.musicxml").read_text("utf-8"), abc]

    def read(text: str) -> None:
        path = folder / ("t.abc" if "X:" in text[:60] else "t.musicxml")
        path.write_text(text, "utf-8", errors="replace")
        import_in_box(path)

    return read, texts


def command_reader() -> tuple[Reader, list[str]]:
    from click.testing import CliRunner

    from porchswing.cli.main import COMMANDS, group
    from porchswing.errors import OptionError

    folder = Path(tempfile.mkdtemp())
    os.chdir(folder)
    (folder / "a.changes").write_text("key: F\n[A]\n| F Dm7 | Gm7 C7 |\n", "utf-8")
    (folder / "c.toml").write_text('[[tune]]\ncharts = ["a.changes"]\nformats = ["mid"]\n')
    slow = {"lesson", "demo", "share", "bench", "play", "film"}
    lines = [f"{name}\na.changes" for name in COMMANDS if name not in slow]
    lines += [
        "render\na.changes\n-o\nout\n--formats\nmid\n--key\nBb\n--tempo\n60%\n--without\nchords",
        "grips\na.changes\n--line\n4:down\n--frets\n4-8\n--best\n2\n--json",
        "grips\n--chord\nAm7\n--max-fret\n7",
        "reharm\na.changes\n--depth\n3\n--swap\nsix-nine\n--alternatives\n2",
        "sheet\na.changes\n--lane\nplain",
        "transpose\na.changes\nEb\n-o\nb.changes",
        "check\n--fix\na.changes",
        "name\n3535\n--before\nC",
        "build\nc.toml\n-o\nout\n--dry-run\n--prune",
        "list\npatterns\n--json",
    ]

    def read(text: str) -> None:
        words = [word for word in text.replace("\0", "").split("\n") if not word.startswith("/")]
        if set(words) & (slow | {"-", "wav", "mp3", "flac", "ogg"}):
            return
        result = CliRunner().invoke(group, [*words], input="")
        raised = result.exception
        assert raised is None or isinstance(raised, SystemExit), (words, raised)
        assert result.exit_code in (0, 1, 2), words
        if result.exit_code:
            raise OptionError("refused")

    return read, lines


READERS = {
    "charts": chart_reader,
    "courses": course_reader,
    "commands": command_reader,
    "imports": import_reader,
}


class Hung(BaseException):
    """An input that took too long: no handler of ours may take it for an error of the system."""


def hangs(*_: object) -> None:
    raise Hung(f"still at it after {HANG_S:.0f} s")


def cpu_s() -> float:
    """Return the processor time that this process and its ended children have had."""
    return sum(os.times()[:4])


def feed(readers: dict[str, Callable[[], tuple[Reader, Maker]]], seed: str) -> None:
    """Feed the reader that the command line names and print the tally."""
    import porchswing.audio.master.audio_files  # noqa: F401 - numpy before an alarm can strike
    from porchswing.errors import PorchswingError

    what, count = sys.argv[1], int(sys.argv[2])
    rng = random.Random(sys.argv[3] if len(sys.argv) > 3 else seed)
    read, make = readers[what]()
    tally: Counter[str] = Counter()
    slowest_s = 0.0
    signal.signal(signal.SIGALRM, hangs)
    for _ in range(count):
        text = make(rng)
        start = cpu_s()
        signal.setitimer(signal.ITIMER_REAL, HANG_S)
        try:
            read(text)
            tally["read"] += 1
        except PorchswingError:
            tally["refused"] += 1
        except BaseException as error:
            tally[type(error).__name__] += 1
            print(f"this input broke it ({error!r:.500}): {text!r}", flush=True)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
        took_s = cpu_s() - start
        if took_s > CPU_LIMIT_S:
            tally["too slow"] += 1
            print(f"this input took {took_s:.0f} s: {text!r}", flush=True)
        slowest_s = max(slowest_s, took_s)
    print(f"{what}: {count} inputs, {dict(tally)}, slowest {slowest_s:.2f} s of processor time")


def splicing(reader: Callable[[], tuple[Reader, list[str]]]) -> Callable[[], tuple[Reader, Maker]]:
    """Return a reader with the maker that splices its good texts."""

    def ready() -> tuple[Reader, Maker]:
        read, texts = reader()
        return read, lambda rng: spliced(rng, texts)

    return ready


if __name__ == "__main__":
    feed({what: splicing(reader) for what, reader in READERS.items()}, "splices")
