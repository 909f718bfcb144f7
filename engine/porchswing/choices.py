"""Everything a teacher may ask of a take, as one frozen record with its defaults.

The command line fills it from options, a course from its TOML, a lesson from its plan;
:func:`porchswing.take.take_from_chart` turns a chart and these choices into a take.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from porchswing.band.score import PARTS
from porchswing.band.style import BandStyle
from porchswing.chart.language.problems import TextError
from porchswing.chart.language.values import read_swing
from porchswing.chart.limits import MAX_CHORUSES
from porchswing.chart.model import LANES, LineTarget, SwingSetting
from porchswing.errors import OptionError
from porchswing.grips.shapes.hand import Ease
from porchswing.grips.shapes.model import GRIP_KINDS
from porchswing.theory.keys import Key

EXTRA_PARTS = ("line", "melody")
"""Parts that play only when asked for."""

FORMATS = ("mid", "wav", "flac", "mp3", "ogg")
"""What a take can be written as, by suffix."""

_RANGES = (
    ("depth", 0, 4),
    ("max_fret", 1, 24),
    ("max_stretch", 1, 9),
    ("choruses", 1, MAX_CHORUSES),
    ("humanize", 0, 1),
    ("loudness_lufs", -40, -5),
    ("rate_hz", 8_000, 192_000),
    ("fade_s", 0, 60),
)


@dataclass(frozen=True, slots=True)
class Choices:
    """Choices for one take; ``None`` leaves a choice to the chart, then to a named default.

    ``key`` is a key as charts write it. ``use`` and ``avoid`` name swaps to take in and to leave
    out. ``grips`` is one of :data:`GRIP_KINDS` (None: closed in the swing lane, open in the
    plain one). ``section`` and ``bars`` (first and last, from 1) cut a piece out of the form.
    ``without`` and ``only`` name parts, ``also`` those that play only when asked for.
    ``voice`` names the instrument whose sound the chords and the line have.
    ``style`` is how the band plays; ``seed`` stands over the seed the chart names.
    """

    key: str | None = None
    lane: str = "swing"
    depth: int = 2
    use: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    tuning: str | None = None
    grips: str | None = None
    max_fret: int | None = None
    max_stretch: int | None = None
    line: LineTarget | None = None
    ease: Ease | None = None
    section: str | None = None
    bars: tuple[int, int] | None = None
    choruses: int = 1
    without: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    voice: str | None = None
    style: BandStyle = field(default=BandStyle())
    seed: int | None = None
    humanize: float = 0.3
    loudness_lufs: float = -18.0
    rate_hz: int = 44_100
    bit_depth: int = 16
    fade_s: float = 0.0

    def __post_init__(self) -> None:
        """Check each field once; the error names the field, the allowed range and the value."""
        for name, low, high in _RANGES:
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise OptionError(f"{name} must be {low} to {high}, got {value}")
        for name, allowed in (
            ("lane", LANES),
            ("grips", (None, *GRIP_KINDS)),
            ("bit_depth", (16, 24)),
        ):
            if getattr(self, name) not in allowed:
                words = ", ".join(str(word) for word in allowed if word)
                raise OptionError(f"{name} must be one of {words}, got {getattr(self, name)!r}")
        for part in (*self.without, *self.only, *self.also):
            if part not in PARTS:
                raise OptionError(f"no part is called {part!r}; parts are {', '.join(PARTS)}")
        if self.bars is not None and not 1 <= self.bars[0] <= self.bars[1]:
            raise OptionError(
                f"bars must be FIRST-LAST counted from 1, got {self.bars[0]}-{self.bars[1]}"
            )

    @property
    def extra_parts(self) -> tuple[str, ...]:
        """The parts asked for that play only when asked for."""
        return tuple(part for part in EXTRA_PARTS if part in (*self.also, *self.only))


def key_named(text: str) -> Key:
    """Return the key a text names, as charts write it.

    >>> str(key_named("Eb"))
    'Eb'
    """
    try:
        return Key.parse(text)
    except ValueError as error:
        raise OptionError(f'no key is called {text!r}: for example Bb or "G minor"') from error


def swing_setting(value: SwingSetting | float | str) -> SwingSetting:
    """Return a swing setting from a ratio or from a text as charts write it.

    >>> swing_setting(1.5).ratio, swing_setting("2:1").ratio, swing_setting("auto").ratio
    (Fraction(3, 2), Fraction(2, 1), None)
    """
    if isinstance(value, SwingSetting):
        return value
    try:
        return read_swing(value if isinstance(value, str) else f"{value:.6f}")
    except TextError as trouble:
        raise OptionError(f"{trouble.message} ({trouble.hint})") from None


def line_target(text: str) -> LineTarget:
    """Return the string that should carry a line: ``4``, ``4:down``, ``1:up`` or ``auto``.

    >>> line_target("4:down").direction
    'down'
    """
    string, _, direction = text.partition(":")
    if text == "auto":
        return LineTarget()
    if string not in set("123456") or direction not in {"", "down", "up"}:
        raise OptionError(f"a line is STRING[:down|:up] or auto, got {text!r}")
    return LineTarget(int(string), direction or None)


def take_name(stem: str, choices: Choices) -> str:
    """Return a file name without suffix: the chart's, then what was asked to differ from it.

    >>> take_name("lantern stroll", Choices(key="Eb", without=("chords",)))
    'lantern_stroll-Eb-without_chords'
    """
    tempo = choices.style.tempo_bpm
    words = (
        stem,
        choices.section,
        f"bars_{choices.bars[0]}_{choices.bars[1]}" if choices.bars else None,
        choices.key,
        f"{tempo:g}bpm" if tempo is not None else None,
        "plain" if choices.lane == "plain" else None,
        "without_" + "_".join(choices.without) if choices.without else None,
        "only_" + "_".join(choices.only) if choices.only else None,
    )
    return "-".join(file_word(word) for word in words if word)


def file_word(text: str) -> str:
    """Return a text as one harmless piece of a file name; sharps are spelled out.

    >>> file_word("F# minor"), file_word("../../etc")
    ('Fsharp_minor', 'etc')
    """
    spelled = text.replace("#", "sharp").replace("♯", "sharp").replace("♭", "b")
    kept = "".join(letter if letter.isalnum() or letter in "_." else "_" for letter in spelled)
    return kept.strip("._")[:60] or "untitled"
