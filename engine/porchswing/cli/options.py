"""The options that mean the same everywhere.

Those of every command come one by one (``json_option``, ``force_option``, …); those that decide
a take come from the table of :mod:`porchswing.options` by :func:`choice_options`, which hands the
command a finished :class:`~porchswing.options.Choices` as ``choices``. A player's own defaults for
the latter come from a file, by :func:`config_defaults`.
"""

from __future__ import annotations

import functools
import os
import tomllib
from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click
from click.core import ParameterSource

from porchswing import file_formats
from porchswing.chart.language.values import MAX_TEMPO_BPM, MIN_TEMPO_BPM
from porchswing.cli.base import Answer
from porchswing.errors import OptionError, PorchswingError, near_hint, near_word
from porchswing.option_kinds import Flag, Kind, Number, OneOf, Several
from porchswing.option_rows import Option
from porchswing.options import (
    BY_FIELD,
    CHANGES,
    DEFAULTS,
    GRIPS,
    NOTES,
    OPTIONS,
    RECORDINGS,
    Choices,
)

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

Function = TypeVar("Function", bound=Callable[..., Any])
Decorator = Callable[[Function], Function]

EVERYTHING = (CHANGES, GRIPS, NOTES, RECORDINGS)
"""What the options of a command that makes recordings act on."""


class KindType(click.ParamType[Any]):
    """Read a value as its :class:`~porchswing.option_kinds.Kind` does; what it refuses is usage."""

    name = "value"

    def __init__(self, kind: Kind) -> None:
        self.kind = kind

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the value a text stands for, or fail with the kind's own message."""
        if not isinstance(value, str):
            return value
        try:
            return self.kind.read(value)
        except PorchswingError as error:
            self.fail(str(error).removeprefix("is wrong: "), param, ctx)


def number(low: float, high: float, *, whole: bool = True) -> KindType:
    """Return the type of an option that is a number in a range."""
    return KindType(Number(low, high, whole=whole))


class Word(click.Choice[str]):
    """One of a few words in small letters; another one is refused as a kind refuses it.

    ``others`` are other words for some of them: they are answered with what they stand for.
    """

    def __init__(self, words: Sequence[str], others: Mapping[str, str] | None = None) -> None:
        super().__init__(words, case_sensitive=False)
        self.others = others or {}

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the word, or fail with the one that may be meant."""
        if str(value).lower() not in self.choices:
            near = near_word(str(value).lower(), [*self.choices, *self.others])
            hint = f"; did you mean {self.others.get(near, near)!r}?" if near else ""
            self.fail(f"must be one of {', '.join(self.choices)}, got {value!r}{hint}", param, ctx)
        return super().convert(value, param, ctx)


class OutPath(click.Path):
    """A file or a folder to write; a name that ends like both is refused.

    ``-``, standard output, is refused too unless ``standard`` allows it.
    """

    def __init__(self, *, file_okay: bool = True, standard: bool = False) -> None:
        super().__init__(path_type=Path, file_okay=file_okay)
        self.standard = standard

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the path, or fail where a recording's name ends in a slash."""
        path = Path(str(super().convert(value, param, ctx)))
        if value == "-" and not self.standard:
            self.fail("several files cannot go to standard output: name a folder", param, ctx)
        suffix = path.suffix.lower()
        is_folder = isinstance(value, str) and value.endswith(("/", os.sep))
        if is_folder and suffix.removeprefix(".") in file_formats.ALL and not path.is_dir():
            self.fail(f"{value} ends in / like a folder and in {suffix} like a file", param, ctx)
        return path


TEMPO = KindType(Number(MIN_TEMPO_BPM, MAX_TEMPO_BPM, "bpm"))
"""Type of an option that is a tempo in felt beats a minute."""

CHART = click.Path(path_type=Path, dir_okay=False, allow_dash=True)
"""Type of a chart's path: a file, or ``-`` for a standard stream."""

chart_argument: Decorator[Any] = click.argument("chart_path", metavar="CHART", type=CHART)
charts_argument: Decorator[Any] = click.argument(
    "chart_paths", metavar="CHART...", nargs=-1, required=True, type=CHART
)


def output_option(
    metavar: str, help: str, *, kind: click.ParamType[Any] = CHART, **more: Any
) -> Decorator[Any]:
    """Return the option ``-o`` for what is written; a command gets it as ``out``."""
    return click.option("-o", "--output", "out", metavar=metavar, type=kind, help=help, **more)


_SUFFIXES = f".{' .'.join(file_formats.ALL)}"

out_option = output_option(
    "OUT", f"A file ({_SUFFIXES}) or a folder.", kind=OutPath(), required=True
)
out_or_standard_option = output_option(
    "OUT", f"A file ({_SUFFIXES}), - or a folder.", kind=OutPath(standard=True), required=True
)
folder_option = output_option(
    "DIR",
    "The folder to write into; made where it does not exist.",
    kind=OutPath(file_okay=False),
    required=True,
)
formats_option: Decorator[Any] = click.option(
    "--formats",
    metavar="LIST",
    help=f"In a folder: which of {','.join(file_formats.ALL)}.  "
    f"[default: {','.join(file_formats.DEFAULTS)}]",
)
json_option: Decorator[Any] = click.option(
    "--json", "as_json", is_flag=True, help="Print facts (and errors) as JSON."
)
quiet_option: Decorator[Any] = click.option(
    "-q", "--quiet", is_flag=True, help="Say nothing but errors."
)
force_option: Decorator[Any] = click.option(
    "--force", is_flag=True, help="Replace files that porchswing did not write."
)


def answer_options(function: Function) -> Function:
    """Add ``--json``, ``--force`` and ``--quiet``; the command gets them as one ``answer``."""

    @functools.wraps(function)
    def with_answer(*, as_json: bool, force: bool, quiet: bool, **values: Any) -> Any:
        return function(answer=Answer(as_json, quiet, force), **values)

    decorated: Function = json_option(force_option(quiet_option(with_answer)))
    return decorated


class ChoiceOption(click.Option):
    """A click option made from a row of the table, listed in the help under its heading."""

    def __init__(self, *flags: Any, row: Option, refusal: str = "", **_: Any) -> None:
        self.row, self.heading, self.refusal, self.flag = row, row.heading, refusal, row.flag
        looks: dict[str, Any] = {"help": row.help, "default": row.default, "is_flag": True}
        if not isinstance(row.kind, Flag):
            shown = row.default not in (None, ())
            looks |= {"type": KindType(row.kind), "metavar": row.kind.metavar, "is_flag": False}
            looks |= {"multiple": row.kind.is_list, "show_default": shown}
        super().__init__([row.flag, row.field], hidden=bool(refusal), **looks)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Return the words of this option that begin as typed."""
        from click.shell_completion import CompletionItem

        words = words_for(self.row)
        return [CompletionItem(word) for word in words if word.startswith(incomplete)]

    def handle_parse_result(
        self, ctx: click.Context, opts: Mapping[str, Any], args: list[str]
    ) -> tuple[Any, list[str]]:
        """Refuse an option that cannot act here, whatever its value."""
        if self.refusal and self.name in opts:
            typed = opts[self.name]
            flags = " ".join(
                self.flag if word is True else f"{self.flag} {word}"
                for word in (typed if isinstance(typed, list) else [typed])
            )
            raise click.UsageError(
                f"{self.flag} {self.refusal}; type: porchswing render CHART -o OUT {flags}", ctx
            )
        return super().handle_parse_result(ctx, opts, args)


def words_for(row: Option) -> tuple[str, ...]:
    """Return the words a shell completes, empty where any text or number may be typed."""
    item = row.kind.item if isinstance(row.kind, Several) else row.kind
    if isinstance(item, OneOf):
        return tuple(map(str, item.words))
    if row.field in ("strum", "bass", "drums"):
        from porchswing.rhythm.patterns import pattern_names

        return tuple(pattern_names(row.field))
    if row.field == "tuning":
        from porchswing.grips.shapes.tunings import ROWS

        return tuple(each[0] for each in ROWS)
    if row.field in ("use", "avoid"):
        from porchswing.harmony.swaps.catalogue import SWAPS

        return tuple(each.name for each in SWAPS)
    return ()


def choice_options(
    *acts_on: str, also: Collection[str] = (), refused: Mapping[str, str] | None = None
) -> Callable[[Function], Function]:
    """Add every option that acts on what a command makes; it gets them as ``choices``.

    ``acts_on`` is of ``CHANGES``, ``GRIPS``, ``NOTES``, ``RECORDINGS``, ``DRAWINGS`` of the table;
    ``also`` names fields of more rows that are taken. All other rows are refused with the reason
    and what to type instead; ``refused`` gives the reason for fields that the command decides
    itself, as what the command does: ``plays both lanes``.
    """

    def decorate(function: Function) -> Function:
        @functools.wraps(function)
        def with_choices(*args: Any, **values: Any) -> Any:
            asked = {r.field: values.pop(r.field) for r in OPTIONS if r.field in values}
            for field, value in asked.items():
                if BY_FIELD[field].kind.is_list:  # each may be given again, and list several
                    asked[field] = tuple(dict.fromkeys(chain.from_iterable(value)))
            choices = DEFAULTS.with_values(asked)
            refuse_idle(choices)
            return function(*args, choices=choices, **values)

        decorated: Any = with_choices
        name = function.__module__.rpartition(".")[2].rstrip("_")
        for row in reversed(OPTIONS):
            taken = row.acts_on in acts_on or row.field in also
            reason = (refused or {}).get(row.field)
            refusal = "" if taken else f"acts on {row.acts_on}, which {name} does not make"
            if reason is not None:
                refusal = f"cannot act here: {name} {reason}"
            decorated = click.option(cls=ChoiceOption, row=row, refusal=refusal)(decorated)
        return decorated  # type: ignore[no-any-return]

    return decorate


def given_flags() -> dict[str, str]:
    """Return the options typed for the command that runs: parameter's name and flag."""
    ctx = click.get_current_context()
    return {
        parameter.name: parameter.opts[-1]
        for parameter in ctx.command.params
        if parameter.name
        and ctx.get_parameter_source(parameter.name) is ParameterSource.COMMANDLINE
    }


def refuse_given(names: Collection[str], reason: str, instead: str) -> None:
    """Raise where one of the options of these names was typed; it cannot act for a reason."""
    given = given_flags()
    for name in names:
        if name in given:
            raise click.UsageError(f"{given[name]} cannot act here: {reason}; {instead}")


def refuse_idle(choices: Choices) -> None:
    """Raise where an option typed cannot act because of another one."""
    given = given_flags()
    is_plain = choices.lane == "plain"
    swing = (
        "acts on the swing lane, and --lane plain plays the chords as written; "
        "leave --lane plain away"
    )
    rules = [
        *((field, is_plain, swing) for field in ("depth", "use", "avoid", "together")),
        (
            "chord_places",
            "solo" not in choices.extra_parts,
            "says where chord melody grips a chord, and none is played here; add --melody-on-top",
        ),
        (
            "ritardando",
            choices.style.loop,
            "slows down into an end, and --loop has none; type one of them",
        ),
    ]
    for part in ("bass", "drums"):
        is_silent = part in choices.without or bool(choices.only and part not in choices.only)
        why = "names a pattern for a part that does not play here; leave it away, or let the"
        rules.append((part, is_silent, f"{why} {part} play"))
    for field, is_idle, why in rules:
        if is_idle and field in given:
            raise click.UsageError(f"{given[field]} {why}")


_OBEYING = {"bit_depth": file_formats.WITH_BITS, "mp3_kbps": file_formats.WITH_BIT_RATE}
"""Formats that obey an option of sound, where not all of them do."""


def refuse_unheard(suffixes: Collection[str]) -> None:
    """Raise where a sound option was typed and no format written obeys it."""
    given = given_flags()
    written = {suffix.lower().removeprefix(".") for suffix in suffixes}
    for row in OPTIONS:
        if row.acts_on != RECORDINGS or row.field not in given:
            continue
        known = _OBEYING.get(row.field, file_formats.SOUND)
        if not written & set(known):
            raise click.UsageError(
                f"{row.flag} acts on {', '.join(known)} files, and only "
                f"{', '.join(sorted(written))} is written here; ask for one of them, "
                "or leave the option away"
            )


CONFIG = "PORCHSWING_CONFIG"
"""Environment variable that names another file of your own defaults."""


def config_path() -> Path:
    """Return where your own defaults are, or would be: where the platform keeps such files.

    On Linux ``~/.config/porchswing/config.toml``, on macOS below ``~/Library/Application Support``,
    on Windows below ``%APPDATA%``.
    """
    named = os.environ.get(CONFIG)
    return Path(named) if named else Path(click.get_app_dir("porchswing")) / "config.toml"


def config_defaults() -> dict[str, Any]:
    """Return your own defaults by field of the options' table; none without a file.

    Its keys are the options of a take without their dashes, ``tuning = "dGBE"``; what is typed
    overrides them, and a command ignores those it does not take. Courses have their own defaults.
    """
    path = config_path()
    if not path.is_file():
        return {}
    try:
        table = tomllib.loads(path.read_text("utf-8"))
    except (OSError, ValueError) as error:
        raise click.ClickException(f"cannot read {path}: {error}") from error
    rows, found = {row.key: row for row in OPTIONS}, {}
    for key, value in table.items():
        if key not in rows:
            raise click.ClickException(f"{path}: unknown option {key!r}{near_hint(key, rows)}")
        try:
            rows[key].kind.convert(value)
        except OptionError as error:
            raise click.ClickException(f"{path}: {key} {error}") from error
        words = value if isinstance(value, list) else [value]
        is_list = rows[key].kind.is_list
        found[rows[key].field] = [str(word) for word in words] if is_list else value
    return found
