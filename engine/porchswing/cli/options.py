"""The options that mean the same everywhere.

Option decorators come one by one (``json_option``,
``force_option``, …) and in the bundle :func:`take_options`, which hands the command a
finished :class:`~porchswing.choices.Choices` as ``choices``.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from porchswing.band.score import PARTS
from porchswing.band.style import BandStyle
from porchswing.chart.limits import MAX_CHORUSES
from porchswing.chart.model import LANES
from porchswing.choices import EXTRA_PARTS, Choices
from porchswing.cli.param_types import BarsType, KeyType, LineType, SwingType
from porchswing.grips.shapes.model import GRIP_KINDS

Function = TypeVar("Function", bound=Callable[..., Any])
Decorator = Callable[[Function], Function]

chart_argument: Decorator[Any] = click.argument(
    "chart_path", metavar="CHART", type=click.Path(path_type=Path, dir_okay=False)
)
out_option: Decorator[Any] = click.option(
    "-o",
    "--output",
    "out",
    required=True,
    metavar="OUT",
    type=click.Path(path_type=Path),
    help="A file (.mid .wav .flac .mp3 .ogg) or a folder.",
)
folder_option: Decorator[Any] = click.option(
    "-o",
    "--output",
    "out",
    required=True,
    metavar="DIR",
    type=click.Path(path_type=Path, file_okay=False),
    help="The folder to write into; made where it does not exist.",
)
formats_option: Decorator[Any] = click.option(
    "--formats",
    metavar="LIST",
    help="In a folder: which of mid,wav,flac,mp3,ogg.  [default: mid,wav]",
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
key_option: Decorator[Any] = click.option(
    "--key", type=KeyType(), metavar="KEY", help='Transpose, for example Eb or "G minor".'
)
lane_option: Decorator[Any] = click.option(
    "--lane",
    type=click.Choice(LANES),
    default="swing",
    show_default=True,
    help="Which way through the bars.",
)
depth_option: Decorator[Any] = click.option(
    "--depth",
    type=click.IntRange(0, 4),
    metavar="0..4",
    default=2,
    show_default=True,
    help="How far the reharmoniser may go where no swing lane is written.",
)
swap_option: Decorator[Any] = click.option(
    "--swap", "use", multiple=True, metavar="NAME", help="Take this swap in as well (see: list)."
)
no_swap_option: Decorator[Any] = click.option(
    "--no-swap", "avoid", multiple=True, metavar="NAME", help="Leave this swap out."
)
tuning_option: Decorator[Any] = click.option(
    "--tuning", metavar="NAME", help='A tuning or its notes, for example gCEA or "g4 c4 e4 a4".'
)
grips_option: Decorator[Any] = click.option(
    "--grips",
    type=click.Choice(GRIP_KINDS),
    help="Which grips: closed in the swing lane, open in the plain one unless said.",
)
max_fret_option: Decorator[Any] = click.option(
    "--max-fret", type=click.IntRange(1, 24), metavar="FRET", help="Highest fret a grip may use."
)
max_stretch_option: Decorator[Any] = click.option(
    "--max-stretch", type=click.IntRange(1, 9), metavar="FRETS", help="Widest grip in frets."
)
line_option: Decorator[Any] = click.option(
    "--line",
    type=LineType(),
    metavar="STRING[:down|:up]",
    help="The string that should carry a smooth line, or auto.",
)
ease_option: Decorator[Any] = click.option(
    "--ease",
    metavar="HAND",
    help="A hand profile: small, no-barre, or a TOML file of limits and weights.",
)
section_option: Decorator[Any] = click.option(
    "--section", metavar="NAME", help="Only this section of the form."
)
bars_option: Decorator[Any] = click.option(
    "--bars", type=BarsType(), metavar="FIRST-LAST", help="Only these bars, counted from 1."
)
seed_option: Decorator[Any] = click.option(
    "--seed",
    type=int,
    metavar="N",
    help="Another band, same chart: choices and human timing follow it.",
)
rate_option: Decorator[Any] = click.option(
    "--rate",
    "rate_hz",
    type=click.IntRange(8_000, 192_000),
    default=44_100,
    show_default=True,
    metavar="HZ",
    help="Sample rate of audio.",
)
loudness_option: Decorator[Any] = click.option(
    "--loudness",
    "loudness_lufs",
    type=click.FloatRange(-40, -5),
    default=-18.0,
    show_default=True,
    metavar="LUFS",
    help="Integrated loudness of audio (ITU-R BS.1770).",
)

bit_depth_option: Decorator[Any] = click.option(
    "--bit-depth",
    type=click.Choice((16, 24)),
    default=16,
    show_default=True,
    help="Bits a sample, for WAV and FLAC.",
)
fade_option: Decorator[Any] = click.option(
    "--fade",
    "fade_s",
    type=click.FloatRange(0, 60),
    default=0.0,
    metavar="SECONDS",
    help="Fade the end out.",
)

_GRIP_OPTIONS: tuple[Decorator[Any], ...] = (
    key_option,
    lane_option,
    depth_option,
    swap_option,
    no_swap_option,
    tuning_option,
    grips_option,
    max_fret_option,
    max_stretch_option,
    line_option,
    ease_option,
)
_PART = click.Choice(PARTS)
_SHARE = click.FloatRange(0, 1)
_BAND_OPTIONS: tuple[Decorator[Any], ...] = (
    click.option(
        "--tempo",
        "tempo_bpm",
        type=click.FloatRange(30, 400),
        metavar="BPM",
        help="Felt beats a minute, 30 to 400.",
    ),
    click.option(
        "--swing",
        type=SwingType(),
        metavar="RATIO",
        help="2, 2:1, 66%, straight or auto (by tempo).",
    ),
    click.option("--strum", metavar="PATTERN", help="A strum pattern (see: list patterns)."),
    click.option("--bass", metavar="PATTERN", help="A bass pattern."),
    click.option("--drums", metavar="PATTERN", help="A drum pattern."),
    click.option(
        "--density",
        type=_SHARE,
        metavar="0..1",
        default=0.5,
        show_default=True,
        help="How busy the band may be.",
    ),
    click.option(
        "--variation",
        type=_SHARE,
        metavar="0..1",
        default=0.5,
        show_default=True,
        help="How much it varies.",
    ),
    click.option("--backbeat", type=_SHARE, metavar="0..1", help="Stress of two and four."),
    click.option(
        "--slides",
        type=_SHARE,
        metavar="0..1",
        default=0.2,
        show_default=True,
        help="How often a grip slides in.",
    ),
    section_option,
    bars_option,
    click.option(
        "--choruses",
        type=click.IntRange(1, MAX_CHORUSES),
        metavar="N",
        default=1,
        show_default=True,
        help="Times through the form.",
    ),
    click.option(
        "--count-in",
        "count_in_bars",
        type=click.IntRange(0, 4),
        metavar="BARS",
        help="Bars counted in, 0 for none.",
    ),
    click.option(
        "--without",
        type=_PART,
        multiple=True,
        metavar="PART",
        help="Leave a part out (again for more): --without chords is the practice mix.",
    ),
    click.option(
        "--only",
        type=_PART,
        multiple=True,
        metavar="PART",
        help="Play this part alone (again for more).",
    ),
    click.option(
        "--with",
        "also",
        type=click.Choice(EXTRA_PARTS),
        multiple=True,
        metavar="PART",
        help="Play a part that is silent unless asked for: line or melody.",
    ),
    click.option(
        "--voice",
        metavar="NAME",
        help="The sound of chords and line: soprano, concert, tenor, … (see: list voices).",
    ),
    click.option(
        "--ritardando",
        type=_SHARE,
        metavar="0..1",
        default=0.0,
        help="Share of the tempo lost by the last beat.",
    ),
    click.option(
        "--feel",
        type=_SHARE,
        metavar="0..1",
        default=0.0,
        help="How far parts swing apart, as players were measured.",
    ),
    click.option("--loop", is_flag=True, help="End so that the last bar runs into the first."),
    seed_option,
    click.option(
        "--humanize",
        type=_SHARE,
        metavar="0..1",
        default=0.3,
        show_default=True,
        help="Human timing and touch, 0 on the grid.",
    ),
)


_SOUND_OPTIONS = (loudness_option, rate_option, bit_depth_option, fade_option)


def grip_options(function: Function) -> Function:
    """Add the options that decide key, lane and grips; the command gets them as ``choices``."""
    return _bundle(function, _GRIP_OPTIONS)


def take_options(function: Function) -> Function:
    """Add every option that decides a take; the command gets them as ``choices``."""
    return _bundle(function, (*_GRIP_OPTIONS, *_BAND_OPTIONS, *_SOUND_OPTIONS))


_STYLE_FIELDS = frozenset(BandStyle.__dataclass_fields__)
_CHOICE_FIELDS = frozenset(Choices.__dataclass_fields__) - {"style"}


def _bundle(function: Function, options: tuple[Decorator[Any], ...]) -> Function:
    @functools.wraps(function)
    def with_choices(*args: Any, **values: Any) -> Any:
        style = {name: values.pop(name) for name in [*values] if name in _STYLE_FIELDS - {"seed"}}
        chosen = {name: values.pop(name) for name in [*values] if name in _CHOICE_FIELDS}
        if chosen.get("ease") is not None:
            from porchswing.grips.shapes.hand import load_ease

            chosen["ease"] = load_ease(chosen["ease"])
        return function(*args, choices=Choices(style=BandStyle(**style), **chosen), **values)

    decorated: Any = with_choices
    for option in reversed(options):
        decorated = option(decorated)
    return decorated  # type: ignore[no-any-return]
