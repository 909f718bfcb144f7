"""Command lines grown from the options that the commands have, run in a folder of charts.

Tracks are MIDI, and ``import``, which starts a process and music21 in it, comes a quarter as often
as the others: a fuzz of its own reads imports.
"""

from __future__ import annotations

import os
import random
from importlib import import_module
from pathlib import Path
from typing import Any

from grown.courses import course_folder
from grown.growing import Rng, grower, maybe
from splice_fuzz import Maker, Reader


class _Console:
    """The command line as it is typed: on streams that are prepared for any sign."""

    name = "porchswing"

    def main(self, *words: Any, **named: Any) -> Any:
        """Run a command line."""
        from porchswing.cli.main import group
        from porchswing.cli.terminal import prepare_console

        prepare_console()
        return group.main(*words, **named)


def command_reader() -> tuple[Reader, Maker]:
    import click
    from click.testing import CliRunner

    from porchswing.cli.main import COMMANDS
    from porchswing.errors import OptionError

    os.chdir(course_folder())
    Path("c.toml").write_text('[[tune]]\ncharts = ["a.changes"]\nformats = ["mid"]\n')
    Path("t.abc").write_text('X:1\nT:T\nM:4/4\nL:1/4\nK:F\n"F"FAcA|"C7"cege|\n')
    Path("bad.bin").write_bytes(bytes(range(256)))
    names = [n for n in COMMANDS if n not in {"lesson", "demo", "share", "bench", "play", "film"}]
    commands = {name: import_module(COMMANDS[name][0]).command for name in names}
    options = {n: [p for p in c.params if isinstance(p, click.Option)] for n, c in commands.items()}

    def grow(chance: random.Random) -> str:
        rng = grower(chance)
        name = rng.choice(names)
        name = rng.choice(names) if name == "import" and rng.randrange(4) else name
        words = [maybe(rng, name, 100)]
        first = {"name": "3535", "list": "patterns", "build": "c.toml", "course": "c.toml"}
        charts = ("a.changes", "sub/Ä b.changes", "broken.changes", "bad.bin", ".", "none.changes")
        likely = first.get(name, rng.choice(charts) if not rng.randrange(3) else charts[0])
        words.append(maybe(rng, "t.abc" if name == "import" else likely, 15))
        if name == "transpose":
            words.append(maybe(rng, rng.choice(("Eb", "g minor", "H", "x")), 10))
        for option in rng.sample(options[name], min(len(options[name]), rng.randint(0, 4))):
            words.append(rng.choice((*option.opts, *option.secondary_opts)))
            if not option.is_flag:
                words.append(value(rng, option))
        if rng.randrange(3) and any("--output" in option.opts for option in options[name]):
            outs = ("out", "out/x.mid", "y.musicxml", "a.changes", "sub", "o.txt", "no/such/dir")
            words += ["-o", rng.choice(outs)]
        return "\n".join(word.replace("\n", " ").replace("\0", "") for word in words)

    def value(rng: Rng, option: click.Option) -> str:
        kinds = ("1", "2", "0.5", "Eb", "A", "60%", "chords,bass", "mid", "1-2", "4:down", "small")
        choices = getattr(option.type, "choices", kinds)
        return maybe(rng, str(rng.choice(list(choices))), 6)

    def read(text: str) -> None:
        words = text.split("\n")
        if {"-", "wav", "mp3", "flac", "ogg"} & set(words) or any(w.startswith("/") for w in words):
            return
        if words[0] in ("render", "drill"):
            words += ["--formats", "mid"]
        words = [
            word.encode("utf-8", "surrogatepass").decode("utf-8", "surrogateescape")
            for word in words
        ]
        result = CliRunner().invoke(_Console(), words, input="")
        raised = result.exception
        assert raised is None or isinstance(raised, SystemExit), (words, raised)
        assert result.exit_code in (0, 1, 2), words
        if result.exit_code:
            raise OptionError("refused")

    return read, grow
