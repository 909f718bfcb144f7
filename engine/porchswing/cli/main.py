"""The ``porchswing`` command: a group whose commands are imported only when they are used.

Each command is a module ``porchswing/cli/<command>.py`` holding a click command named
``command``, made by :func:`porchswing.cli.base.command`. The table below is all the group knows
of it, so ``porchswing --help`` imports no command and none of what commands need.
"""

from __future__ import annotations

import errno
import gc
import json
import os
import signal
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from porchswing.cli.terminal import SIGNS, prepare_console, set_signs
from porchswing.version import __version__

if "numpy" not in sys.modules:
    # our products are small, and the BLAS' own threads slow them down; it asks as it is loaded
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

COMMANDS: dict[str, tuple[str, str]] = {
    "demo": (
        "porchswing.cli.tune.demo",
        "The main job on a built-in chart; says what to open next",
    ),
    "render": (
        "porchswing.cli.tune.render",
        "A backing track from one chart: MIDI, recordings, stems",
    ),
    "reharm": (
        "porchswing.cli.tune.reharm",
        "The swing lane bar by bar, with the reason of every swap",
    ),
    "check": ("porchswing.cli.tune.check", "Everything wrong or doubtful in charts"),
    "grips": (
        "porchswing.cli.tune.grips",
        "The best closed grips for a chart: diagrams, lines, moves",
    ),
    "name": ("porchswing.cli.tune.name", "What a grip is called"),
    "compare": (
        "porchswing.cli.teaching.compare",
        "The plain lane, then the swing lane, equally loud",
    ),
    "lesson": ("porchswing.cli.teaching.lesson", "The whole pack for one tune in one folder"),
    "share": (
        "porchswing.cli.teaching.share",
        "A lesson on a phone in the same network, or as a site",
    ),
    "film": (
        "porchswing.cli.teaching.film",
        "Grips, strum and bar as a transparent video, frame by frame",
    ),
    "drill": (
        "porchswing.cli.teaching.drill",
        "Practice tracks of the hard spots, and a practice plan",
    ),
    "build": (
        "porchswing.cli.teaching.build",
        "A whole course: charts × keys × tempos × mixes, only what changed",
    ),
    "course": (
        "porchswing.cli.teaching.course",
        "The ledger of a course: what is new in each tune, reviews, order",
    ),
    "bench": (
        "porchswing.cli.teaching.bench",
        "A local page: hear, choose and make a lesson in one sitting",
    ),
    "import": ("porchswing.cli.exchange.import_", "A MusicXML or ABC lead sheet as a chart"),
    "export": (
        "porchswing.cli.exchange.export",
        "A chart as MusicXML: both lanes, diagrams, strums, line",
    ),
    "transpose": ("porchswing.cli.exchange.transpose", "The chart itself in another key"),
    "sheet": ("porchswing.cli.exchange.sheet", "A simple chord sheet on one page, text or PDF"),
    "setlist": (
        "porchswing.cli.teaching.setlist",
        "Tunes in an order: one PDF of sheets, one page for the stand",
    ),
    "play": ("porchswing.cli.tune.play", "The tune at once, through the system's player"),
    "list": (
        "porchswing.cli.tune.list_",
        "What there is to choose from: patterns, tunings, swaps, …",
    ),
}
"""Command name to its module and the line that ``porchswing --help`` shows, in the order of use."""

OTHER_COMMANDS = {
    "chord": "grips --chord",
    "chords": "grips --chord",
    "diagram": "grips --svg",
    "generate": "render",
    "help": "--help",
    "mp3": "render",
    "pdf": "sheet",
    "print": "sheet",
    "tab": "grips --melody",
    "version": "--version",
    "video": "film",
    "wav": "render",
}
"""What people call a command elsewhere, and what does it here."""

CHART_SUFFIX = ".changes"

TRACE = "PORCHSWING_TRACE"
"""Environment variable that lets an internal error show its traceback, for the report."""

EPILOG = "Exit code: 0, or 1 with the error said in a paragraph, or 2 for a command typed wrongly."


class LazyGroup(click.Group):
    """A click group that finds its commands in :data:`COMMANDS` and imports them on use."""

    def main(self, args: Sequence[str] | None = None, *words: Any, **named: Any) -> Any:
        """Run a command line; under ``--json`` errors of usage are JSON too."""
        line = sys.argv[1:] if args is None else list(args)
        if "--json" not in line or not named.get("standalone_mode", True):
            return super().main(line, *words, **named)
        try:
            sys.exit(super().main(line, *words, **named | {"standalone_mode": False}) or 0)
        except click.Abort:
            sys.exit(1)
        except click.ClickException as error:
            context = error.ctx if isinstance(error, click.UsageError) else None
            row = {
                **dict.fromkeys(("file", "line", "column")),
                "message": error.format_message(),
                "hint": context.get_usage() if context else "",
            }
            click.echo(json.dumps({"errors": [row]}, ensure_ascii=False))
            sys.exit(error.exit_code)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands' names, in the table's order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command, ``None`` for an unknown name."""
        if cmd_name not in COMMANDS:
            from porchswing.errors import near_word

            meant = OTHER_COMMANDS.get(cmd_name) or near_word(cmd_name, COMMANDS)
            if cmd_name.endswith(CHART_SUFFIX):
                meant = f"render {cmd_name} -o OUT"
            if meant:
                ctx.fail(f"No such command {cmd_name!r}: did you mean {meant}?")
            return None
        found: click.Command = import_module(COMMANDS[cmd_name][0]).command
        _set_defaults(found)
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, importing none."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


def _set_defaults(command: click.Command) -> None:
    """Give a command the user's own defaults for the options it takes."""
    from porchswing.cli.options import config_defaults

    refused = {each.name for each in command.params if getattr(each, "refusal", "")}
    kept = {field: value for field, value in config_defaults().items() if field not in refused}
    command.context_settings = {**command.context_settings, "default_map": kept}


@click.group(cls=LazyGroup, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="porchswing")
@click.option(
    "--signs",
    type=click.Choice(SIGNS),
    default="auto",
    envvar="PORCHSWING_SIGNS",
    help="Flats and sharps as letters (b #), as print (♭ ♯), or as the terminal can.",
)
@click.pass_context
def group(context: click.Context, signs: str) -> None:
    """From one text chart: closed ukulele grips, swing backing tracks, drills and handouts.

    Start with "porchswing demo"; each command's --help shows an example.
    """
    set_signs(context, signs)


def main() -> None:
    """Run the command line; a polite kill ends like Ctrl-C, with nothing half-written."""
    gc.set_threshold(100_000)  # a take is thousands of fresh records and no cycles to look for
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    prepare_console()
    try:
        group(prog_name="porchswing")
    except SystemExit:
        gc.freeze()  # the last collection would take 20 of the 25 ms it takes to exit
        raise
    except OSError as error:
        if error.errno != errno.ENOSPC or TRACE in os.environ:
            raise
        click.echo("porchswing: nothing more fits where the output goes: no space left", err=True)
        sys.exit(1)
    except Exception as error:  # the last stop: a bug of ours, said in a paragraph
        if TRACE in os.environ:
            raise
        click.echo(
            "porchswing: internal error, please report it: "
            f"{' '.join(f'{type(error).__name__}: {error}'.split())}. "
            f"Files already finished are whole. Run it again with {TRACE}=1 to see where.",
            err=True,
        )
        sys.exit(1)
