"""What commands share: their class, reading charts, the answer with its progress, errors."""

from __future__ import annotations

import json
import shlex
import shutil
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import click

from porchswing.chart.model import Chart
from porchswing.cli import terminal
from porchswing.errors import ChartError, OptionError, PorchswingError, Problem
from porchswing.file_formats import has_lame
from porchswing.options import HARMONY, MANNER, PLAYED, SOUND

if TYPE_CHECKING:
    from porchswing.outputs.folder import OutputFolder

HEADINGS = ("Options", HARMONY, PLAYED, MANNER, SOUND, "Always")
"""Headings of the help, in order: the command's own options first."""

STANDARD = "-"
"""What stands for standard input as a chart, and for standard output as a file."""

OTHER_OPTIONS = {
    "--bpm": "--tempo",
    "--loops": "--choruses",
    "--mute": "--without",
    "--out": "--output",
    "--repeat": "--choruses",
    "--speed": "--tempo",
    "--times": "--choruses",
    "--transpose": "--key",
}
"""What people call an option elsewhere, and the option."""

_ALWAYS = ("as_json", "force", "quiet", "_click_default_help")

_BAR_STEPS = 1000

LINE_S = 5.0
"""Seconds between two lines of progress in a pipe."""


class PorchCommand(click.Command):
    """A command that shows the project's own errors as a paragraph, or as JSON under --json."""

    example = ""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the words of a command line; what other programs call an option is understood."""
        dashed = next((word for word in args if word.startswith(("–", "—"))), None)
        self._refuse_one_dash(ctx, args)
        try:
            return super().parse_args(ctx, args)
        except click.NoSuchOption as error:
            name, known = error.option_name, [o for p in self.get_params(ctx) for o in p.opts]
            meant = OTHER_OPTIONS.get(name, "")
            near = [meant] if meant in known else _near_options(name, known)
            hint = f" Did you mean {' or '.join(map(repr, near))}?" if near else ""
            raise click.UsageError(f"No such option {name!r}.{hint}", ctx) from None
        except click.UsageError as error:
            message = error.format_message()
            if dashed:
                message = f"{dashed} begins with a printed dash; type - (or --)"
            elif isinstance(error, click.MissingParameter):
                message = f"{' '.join(message.split()).rstrip('.')}. For example: {self.example}"
            raise click.UsageError(message, ctx) from None

    def _refuse_one_dash(self, ctx: click.Context, args: list[str]) -> None:
        """Raise where a long option has one dash, ``-out``: it would be read as ``-o ut``."""
        known = {option for each in self.get_params(ctx) for option in each.opts}
        for word in args:
            if word == "--":
                return
            if word[:1] == "-" and len(word) > 2 and f"-{word}" in {*known, *OTHER_OPTIONS}:
                meant = OTHER_OPTIONS.get(f"-{word}", f"-{word}")
                raise click.UsageError(f"No such option {word!r}. Did you mean {meant!r}?", ctx)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; exit 1 on an error meant for the user, with no traceback."""
        try:
            return super().invoke(ctx)
        except PorchswingError as error:
            show_error(error, as_json=bool(ctx.params.get("as_json")))
            ctx.exit(1)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the options under the headings of :data:`HEADINGS`, the command's own first."""
        rows: dict[str, list[tuple[str, str]]] = {}
        for parameter in self.get_params(ctx):
            row = parameter.get_help_record(ctx)
            if row is not None and isinstance(parameter, click.Option):
                usual = "Always" if parameter.name in _ALWAYS else HEADINGS[0]
                rows.setdefault(getattr(parameter, "heading", usual), []).append(row)
        for heading in sorted(rows, key=HEADINGS.index):
            with formatter.section(heading):
                formatter.write_dl(rows[heading])


def _near_options(name: str, known: Sequence[str]) -> list[str]:
    """Return the options nearest to a name, only those about as near as the nearest.

    One letter after one dash is taken for the first letter of an option.
    """
    from difflib import SequenceMatcher

    if len(name) == 2:
        return [option for option in known if option.startswith(f"-{name}")]
    near = {option: SequenceMatcher(None, name, option).ratio() for option in known}
    best = max(near.values(), default=0.0)
    return [option for option in known if near[option] >= max(0.6, best - 0.05)]


def command(
    *, example: str, name: str | None = None
) -> Callable[[Callable[..., Any]], PorchCommand]:
    """Make a click command of a function, its docstring the help, with an example at the end."""

    def made(function: Callable[..., Any]) -> PorchCommand:
        found = click.command(
            name=name,
            cls=PorchCommand,
            epilog=f"\b\nExample:\n  {example}",
            context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
        )(function)
        found.example = example
        return found

    return made


def show_error(error: PorchswingError, *, as_json: bool) -> None:
    """Show an error: on the standard error stream, or as the JSON shape on standard output."""
    if as_json:
        click.echo(json.dumps({"errors": error_rows(error)}, ensure_ascii=False))
    elif isinstance(error, ChartError):
        terminal.show("\n\n".join(str(problem) for problem in error.problems), err=True)
    else:
        click.echo(f"porchswing: {error}", err=True)


def error_rows(error: PorchswingError) -> list[dict[str, Any]]:
    """Return the rows of the JSON ``errors`` list; file, line, column are None where unknown."""
    if isinstance(error, ChartError):
        return problem_rows(error.problems)
    hint = str(getattr(error, "hint", ""))
    message = str(getattr(error, "message", error) if hint else error)
    return [{"file": None, "line": None, "column": None, "message": message, "hint": hint}]


def problem_rows(problems: Iterable[Problem]) -> list[dict[str, Any]]:
    """Return the rows of a JSON list of problems; the line and its caret are for readers."""
    return [{k: v for k, v in asdict(p).items() if k not in ("text", "width")} for p in problems]


def command_word() -> str:
    """Return how the command that runs can be typed again: its name, its path, or ``-m``."""
    typed, found = Path(sys.argv[0]), shutil.which("porchswing")
    if typed.name == "__main__.py":
        return f"{shlex.quote(sys.executable)} -m porchswing"
    is_found = found is not None and Path(found).resolve() == typed.resolve()
    return "porchswing" if is_found or typed.stem != "porchswing" else shlex.quote(str(typed))


def refuse_chord(word: str) -> None:
    """Raise where a chord symbol is typed in the place of something else."""
    from porchswing.theory.symbols import parse_chord

    try:
        parse_chord(word)
    except PorchswingError:
        return
    raise click.UsageError(
        f"{word} is a chord; its grips: {command_word()} grips --chord {shlex.quote(word)}"
    )


def read_chart_at(path: Path) -> Chart:
    """Return the chart of a file, or of standard input where the path is ``-``."""
    from porchswing.chart.language.reader import parse_chart

    return parse_chart(read_text_at(path), shown_name(path))


def read_text_at(path: Path) -> str:
    """Return the text of a chart's file, or of standard input where the path is ``-``."""
    from porchswing.chart.chart_text import read_chart_text

    if str(path) == STANDARD and sys.stdin is None:
        raise OptionError("- reads the chart from standard input, which is closed: name a file")
    return read_chart_text(sys.stdin.buffer if str(path) == STANDARD else path)


def shown_name(path: Path) -> str:
    """Return how messages name a file that may be standard input."""
    return "<standard input>" if str(path) == STANDARD else str(path)


def show_json(facts: object) -> None:
    """Print facts as one JSON document on standard output.

    JSON has no infinity (RFC 8259, section 6): the level of silence is ``None``.
    """
    click.echo(json.dumps(facts, ensure_ascii=False, indent=1, allow_nan=False))


@dataclass(frozen=True, slots=True)
class Answer:
    """How a command answers: with facts as JSON, with lines, or ``quiet`` with nothing.

    Under ``force`` it may replace files that porchswing did not write.
    """

    as_json: bool = False
    quiet: bool = False
    force: bool = False

    @property
    def is_plain(self) -> bool:
        """Whether lines are printed, and progress with them."""
        return not (self.as_json or self.quiet)

    def show(
        self, facts: object, *lines: object, printed: Callable[[str], None] = click.echo
    ) -> None:
        """Print the facts as JSON where that is asked for, else the lines."""
        if self.as_json:
            show_json(facts)
        for line in lines if self.is_plain else ():
            printed(str(line))

    def folder(self, path: Path) -> OutputFolder:
        """Return a folder to write into, which replaces other programs' files under ``force``."""
        from porchswing.outputs.folder import OutputFolder

        return OutputFolder(path, force=self.force)

    def write_at(self, path: Path, content: str | bytes) -> None:
        """Write a text or bytes to a file, whole or not at all; to standard output for ``-``."""
        if str(path) == STANDARD:
            click.echo(content, nl=False)
            return
        with self.folder(path.parent).making(path) as part:
            part.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)

    @contextmanager
    def progress(self, label: str) -> Iterator[ProgressBar]:
        """Yield a function that shows progress: a bar on a terminal, now and then a line in a pipe.

        It shows nothing where no lines are printed.
        """
        if not self.is_plain:
            yield lambda share, made="": None
        elif sys.stderr.isatty():
            with _bar(label) as show:
                yield show
        else:
            yield _lines_of_progress(label)


class ProgressBar(Protocol):
    """Is called with the share done, 0 to 1, and with what was made last, where that is known."""

    def __call__(self, share: float, made: str = "") -> None:
        """Show the share."""


@contextmanager
def _bar(label: str) -> Iterator[ProgressBar]:
    """Yield a function that moves a bar on a terminal."""
    last = ""
    shown: Any = click.progressbar(
        length=_BAR_STEPS, label=label, file=sys.stderr, item_show_func=lambda _: last
    )
    with shown as bar:

        def show(share: float, made: str = "") -> None:
            nonlocal last
            last = made
            bar.update(round(share * _BAR_STEPS) - bar.pos)

        yield show


def _lines_of_progress(label: str) -> ProgressBar:
    """Return a function that writes a line every :data:`LINE_S`; what is over sooner has none."""
    start_s = last_s = time.monotonic()

    def show(share: float, made: str = "") -> None:
        nonlocal last_s
        if time.monotonic() - last_s >= LINE_S:
            last_s = time.monotonic()
            click.echo(f"{label}: {share:.0%} after {last_s - start_s:.0f} s", err=True)

    return show


def note_encoder(names: Iterable[object]) -> None:
    """Show a note where one of some files is an MP3 and was made the slow way."""
    if any(str(name).endswith(".mp3") for name in names) and not has_lame():
        click.echo(
            "note: MP3 went through libsndfile, five times as slow as LAME, of which there is no "
            "wheel here (pip install lameenc)",
            err=True,
        )
