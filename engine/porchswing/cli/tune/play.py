"""``porchswing play``: a tune through the system's own player."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from porchswing.cli import base, options
from porchswing.errors import OptionError
from porchswing.options import Choices

PLAYERS: tuple[tuple[str, ...], ...] = (
    ("afplay",),
    ("pw-play",),
    ("paplay",),
    ("aplay", "-q"),
    ("ffplay", "-nodisp", "-autoexit", "-loglevel", "error"),
    ("play", "-q"),
)
"""Programs that play a WAV file, in the order they are looked for."""


@base.command(example="porchswing play tune.changes --without chords --tempo 60%")
@options.chart_argument
@options.choice_options(*options.EVERYTHING)
@options.quiet_option
def command(chart_path: Path, choices: Choices, quiet: bool) -> None:
    """Play a tune at once, through the player this system has. Start at a low volume.

    Nothing is kept; Ctrl-C ends it. ``render`` writes a file.
    """
    from porchswing.take import take_from_chart

    player = find_player()
    take = take_from_chart(base.read_chart_at(chart_path), choices)
    with TemporaryDirectory() as folder:
        sound = Path(folder) / "take.wav"
        take.write_audio(sound)
        if not quiet:
            seconds = take.performance.end_s
            click.echo(f"{seconds:.0f} s through {player[0]}; Ctrl-C ends it", err=True)
        play_file(player, sound, take.performance.end_s)


def find_player() -> tuple[str, ...]:
    """Return the command of the first player there is."""
    if sys.platform == "win32":
        return ("winsound",)
    for player in PLAYERS:
        if shutil.which(player[0]):
            return player
    raise OptionError(
        f"no player was found, of {', '.join(player[0] for player in PLAYERS)}: render a file and "
        "open it instead"
    )


def play_file(player: tuple[str, ...], sound: Path, length_s: float) -> None:
    """Play a WAV file to its end.

    Some players end well where there is no sound device, and only their words say so.
    """
    if sys.platform == "win32":
        import winsound

        winsound.PlaySound(str(sound), winsound.SND_FILENAME)
        return
    start_s = time.monotonic()
    done = subprocess.run([*player, str(sound)], stderr=subprocess.PIPE, check=False)  # noqa: S603  # a known player
    words = done.stderr.decode(errors="replace").strip().partition("\n")[0].strip()
    is_cut_short = bool(words) and time.monotonic() - start_s < length_s / 2
    if done.returncode != 0 or is_cut_short:
        code = f" (exit code {done.returncode})" if done.returncode else ""
        why = f"{code}: {words}" if words else code
        raise OptionError(f"{player[0]} could not play it{why}; render a file instead")
