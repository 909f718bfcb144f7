"""Every choice a teacher has for a take, one row each: the one place that states it.

A row is a field of :class:`Choices`, :class:`BandStyle` or :class:`SoundSettings`, made by
:func:`option_row`: default, kind (with range and unit), the line of help, the heading it is listed
under, and what obeys it. The command line, the keys of a course, the checks of the records, the
ranges and the help all follow from :data:`OPTIONS`. A new option is a new row here and the
module that acts on it.

``None`` leaves a choice to the chart, then to a default that its help names.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from porchswing.chart.language.values import MAX_SEED, MAX_TEMPO_BPM, MIN_TEMPO_BPM
from porchswing.chart.limits import MAX_CHORUSES, MAX_DEPTH, MAX_FRET
from porchswing.chart.model import CHORD_PLACES, GRIP_KINDS, LANES, LineTarget, SwingSetting
from porchswing.errors import OptionError
from porchswing.grips.shapes.hand import MAX_STRETCH, Ease
from porchswing.harmony.depth import DEFAULT_DEPTH
from porchswing.option_kinds import (
    TEMPO_SHARES,
    Flag,
    HandProfile,
    KeyName,
    Line,
    Name,
    Number,
    OneOf,
    Several,
    Span,
    Swing,
    Tempo,
)
from porchswing.option_rows import Option, check_record, checked_field, option_row, rows_of
from porchswing.outputs.names import file_word
from porchswing.toml_table import TomlTable

PARTS = ("chords", "bass", "drums", "count", "line", "melody", "solo")
"""The parts a take may have, in mixing order."""

EXTRA_PARTS = ("line", "melody", "solo")
"""Parts that play only when asked for."""

HARMONY, PLAYED, MANNER, SOUND = (
    "Harmony and grips",
    "What is played",
    "How it is played",
    "Sound",
)
"""Headings of the help."""

CHANGES = "the swing lane"
GRIPS = "the grips"
NOTES = "the notes of a take"
RECORDINGS = "recordings"
DRAWINGS = "drawings of grips"
"""What obeys an option: whoever makes one of these takes the option."""

MP3_KBPS = (32, 48, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320)
"""The bit rates that may be asked for; the lower sample rates have the lower ones alone."""

_SHARE = Number(0, 1)

_changes = partial(option_row, heading=HARMONY, acts_on=CHANGES)
_grips = partial(option_row, heading=HARMONY, acts_on=GRIPS)
_played = partial(option_row, heading=PLAYED, acts_on=NOTES)
_manner = partial(option_row, heading=MANNER, acts_on=NOTES)
_sound = partial(option_row, heading=SOUND, acts_on=RECORDINGS)


@dataclass(frozen=True, slots=True)
class BandStyle:
    """How the band plays; ``None`` leaves a choice to the chart, then to the band's habit.

    ``tempo_bpm`` counts the felt beat; ``tempo_share`` scales the chart's tempo. ``strum``,
    ``bass`` and ``drums`` name patterns. ``chorus_tempos_bpm`` climbs a ladder, one felt tempo a
    chorus. ``seed`` overrides the seed of the chart.
    """

    tempo_bpm: float | None = _manner(
        None,
        Tempo(MIN_TEMPO_BPM, MAX_TEMPO_BPM, "bpm"),
        "--tempo",
        f"Felt beats a minute, {MIN_TEMPO_BPM} to {MAX_TEMPO_BPM}, or a share of the chart's: 60%.",
        in_course=False,
    )
    swing: SwingSetting | None = _manner(
        None, Swing(), "--swing", "2, 2:1, 66%, straight or auto (by tempo)."
    )
    strum: str | None = _manner(
        None, Name("PATTERN"), "--strum", "A strum pattern (see: list patterns)."
    )
    bass: str | None = _manner(None, Name("PATTERN"), "--bass", "A bass pattern.")
    drums: str | None = _manner(None, Name("PATTERN"), "--drums", "A drum pattern.")
    density: float = _manner(0.5, _SHARE, "--density", "How busy the band may be.")
    variation: float = _manner(0.5, _SHARE, "--variation", "How much it varies.")
    backbeat: float | None = _manner(None, _SHARE, "--backbeat", "Stress of two and four.")
    slides: float = _manner(
        0.2, _SHARE, "--slides", "How often a grip slides in; in grips, where it may."
    )
    count_in_bars: int | None = _played(
        None, Number(0, 8, "bars", whole=True), "--count-in", "Bars counted in, 0 for none."
    )
    ritardando: float = _manner(
        0.0, _SHARE, "--ritardando", "Share of the tempo lost by the last beat."
    )
    feel: float = _manner(
        0.0,
        _SHARE,
        "--feel",
        "How much swing ratios differ between parts: 0 none, 1 as players were measured.",
    )
    loop: bool = _played(False, Flag(), "--loop", "End so that the last bar runs into the first.")
    seed: int | None = _manner(
        None,
        Number(0, MAX_SEED, whole=True, shown="N"),
        "--seed",
        "Random seed: the same chart in another performance.",
    )
    tempo_share: float = checked_field(1.0, TEMPO_SHARES)
    chorus_tempos_bpm: tuple[float, ...] = checked_field(
        (), Several(Number(MIN_TEMPO_BPM, MAX_TEMPO_BPM, "bpm"))
    )

    def __post_init__(self) -> None:
        """Check each field once."""
        check_record(self)

    def felt_bpm(self, written_bpm: float) -> float:
        """Return the felt tempo of a tune written at ``written_bpm``."""
        felt_bpm = (written_bpm if self.tempo_bpm is None else self.tempo_bpm) * self.tempo_share
        if self.tempo_share != 1.0 and not MIN_TEMPO_BPM <= felt_bpm <= MAX_TEMPO_BPM:
            raise OptionError(
                f"tempo must be {MIN_TEMPO_BPM} to {MAX_TEMPO_BPM} bpm, got {felt_bpm:g} "
                f"({self.tempo_share:.0%} of {written_bpm:g})"
            )
        return felt_bpm


@dataclass(frozen=True, slots=True)
class SoundSettings:
    """How recordings are made: level, rate, bits, fade and tail.

    ``loudness_lufs`` is the integrated loudness to reach (ITU-R BS.1770), ``None`` for the level
    of the mixing desk; ``bit_depth`` acts in WAV and FLAC, ``mp3_kbps`` in MP3.
    """

    loudness_lufs: float | None = _sound(
        -18.0,
        Number(-40, -5, "LUFS"),
        "--loudness",
        "Integrated loudness of audio (ITU-R BS.1770), -40 to -5.",
    )
    rate_hz: int = _sound(
        44_100, Number(8_000, 192_000, "Hz", whole=True), "--rate", "Sample rate of audio."
    )
    bit_depth: int = _sound(16, OneOf((16, 24)), "--bit-depth", "Bits a sample, for WAV and FLAC.")
    mp3_kbps: int | None = _sound(
        None,
        OneOf(MP3_KBPS),
        "--bit-rate",
        "Constant bit rate of MP3 in kbit/s; without it about 160, more where the music is dense.",
    )
    fade_s: float = _sound(0.0, Number(0, 60, "seconds"), "--fade", "Fade the end out.")

    def __post_init__(self) -> None:
        """Check each field once."""
        check_record(self)


DEFAULT_SOUND = SoundSettings()


@dataclass(frozen=True, slots=True)
class Choices:
    """Choices for one take; ``None`` leaves a choice to the chart, then to a named default.

    ``key`` is a key as charts write it. ``use`` and ``avoid`` name swaps to take in and to leave
    out. ``grips`` is one of :data:`GRIP_KINDS` (None: closed in the swing lane, open in the
    plain one). ``section`` and ``bars`` (first and last, from 1) cut a piece out of the form.
    ``without`` and ``only`` name parts, ``also`` those that play only when asked for.
    ``melody_on_top`` plays the solo in place of the chords, ``chord_places`` says where it grips.
    ``voice`` names the instrument whose sound the chords and the line have.
    """

    key: str | None = _changes(
        None, KeyName(), "--key", 'Transpose, for example Eb or "G minor".', in_course=False
    )
    lane: str = _grips("swing", OneOf(LANES), "--lane", "Which lane of the bars is played.")
    depth: int | None = _changes(
        None,
        Number(0, MAX_DEPTH, whole=True),
        "--depth",
        f"How far to go where no swing lane is written ({DEFAULT_DEPTH} unless the chart says).",
    )
    use: tuple[str, ...] = _changes(
        (), Several(Name()), "--swap", "Take this swap in as well (see: list)."
    )
    avoid: tuple[str, ...] = _changes((), Several(Name()), "--no-swap", "Leave this swap out.")
    together: bool = _changes(
        False,
        Flag(),
        "--together",
        "Only swaps that sound well over the plain chords played at the same time.",
    )
    tuning: str | None = _grips(
        None, Name(), "--tuning", 'A tuning or its notes, for example gCEA or "g4 c4 e4 a4".'
    )
    grips: str | None = _grips(
        None,
        OneOf(GRIP_KINDS),
        "--grips",
        "Which grips: closed in the swing lane, open in the plain one unless said.",
    )
    max_fret: int | None = _grips(
        None, Number(1, MAX_FRET, whole=True), "--max-fret", "Highest fret a grip may use."
    )
    max_stretch: int | None = _grips(
        None, Number(1, MAX_STRETCH, "frets", whole=True), "--max-stretch", "Widest grip in frets."
    )
    mutes: bool = _grips(False, Flag(), "--mutes", "Let strings be muted.")
    left_handed: bool = option_row(
        False,
        Flag(),
        "--left-handed",
        "Draw grips for a left-handed player: string 1 on the left.",
        HARMONY,
        DRAWINGS,
    )
    line: LineTarget | None = _grips(
        None, Line(), "--line", "The string that should carry a smooth line, or auto."
    )
    ease: Ease | None = _grips(
        None,
        HandProfile(),
        "--ease",
        "A hand profile: small, no-barre, or a TOML file of limits and weights.",
    )
    section: str | None = option_row(
        None, Name(), "--section", "Only this section of the form.", PLAYED, GRIPS
    )
    bars: tuple[int, int] | None = _played(
        None, Span(), "--bars", "Only these bars, counted from 1.", in_course=False
    )
    choruses: int = _played(
        1, Number(1, MAX_CHORUSES, whole=True), "--choruses", "Times through the form."
    )
    without: tuple[str, ...] = _played(
        (),
        Several(OneOf(PARTS)),
        "--without",
        "Leave parts out, for example chords,bass: --without chords is the practice mix.",
        in_course=False,
    )
    only: tuple[str, ...] = _played(
        (), Several(OneOf(PARTS)), "--only", "Play these parts alone.", in_course=False
    )
    also: tuple[str, ...] = _played(
        (),
        Several(OneOf(EXTRA_PARTS)),
        "--with",
        "Play parts that are silent unless asked for: line, melody or solo.",
        in_course=False,
    )
    melody_on_top: bool = _played(
        False,
        Flag(),
        "--melody-on-top",
        "Play the tune on top of its grips (chord melody) in place of the chords.",
    )
    chord_places: str = option_row(
        "strong",
        OneOf(CHORD_PLACES),
        "--chords-on",
        "Where chord melody grips a chord: strong beats, once a bar, or all notes.",
        HARMONY,
        NOTES,
    )
    voice: str | None = _sound(
        None,
        Name(),
        "--voice",
        "The sound of chords and line: soprano, concert, tenor, … (see: list voices).",
    )
    humanize: float = _manner(0.3, _SHARE, "--humanize", "Human timing and touch, 0 on the grid.")
    style: BandStyle = field(default=BandStyle())
    sound: SoundSettings = field(default=DEFAULT_SOUND)

    def __post_init__(self) -> None:
        """Check each field once."""
        check_record(self)

    @property
    def extra_parts(self) -> tuple[str, ...]:
        """The parts asked for that play only when asked for."""
        asked = (*self.also, *self.only, *(("solo",) if self.melody_on_top else ()))
        return tuple(part for part in EXTRA_PARTS if part in asked)

    @property
    def left_out(self) -> tuple[str, ...]:
        """The parts left out: those named, and the chords where the tune is on top of them."""
        return (*self.without, "chords") if self.melody_on_top else self.without

    @property
    def grip_wishes(self) -> dict[str, Any]:
        """What the grips are to be, as the arguments of :func:`porchswing.voice`."""
        return {
            "tuning": self.tuning,
            "lane": self.lane,
            "grips": self.grips,
            "line": self.line,
            "max_fret": self.max_fret,
            "max_stretch": self.max_stretch,
            "ease": self.ease,
            "loop": self.style.loop,
            "mutes": self.mutes,
        }

    def with_values(self, values: dict[str, Any]) -> Choices:
        """Return the choices with some options set, by field; see :data:`BY_FIELD`."""
        changed: dict[str, dict[str, Any]] = {"": {}, "style": {}, "sound": {}}
        for name, value in values.items():
            changed[BY_FIELD[name].record] |= BY_FIELD[name].kind.fields(name, value)
        return replace(
            self,
            style=replace(self.style, **changed["style"]),
            sound=replace(self.sound, **changed["sound"]),
            **changed[""],
        )


OPTIONS: tuple[Option, ...] = (
    *rows_of("style", BandStyle),
    *rows_of("", Choices),
    *rows_of("sound", SoundSettings),
)
"""Every option there is."""

BY_FIELD: dict[str, Option] = {row.field: row for row in OPTIONS}

OPTION_ROWS: dict[str, Option] = {row.key: row for row in OPTIONS if row.in_course}
"""The options that a course may set by their key."""

DEFAULTS = Choices()
"""Every option at its default."""


def choices_of(table: TomlTable, defaults: Choices, rows: Mapping[str, Option]) -> Choices:
    """Return the choices that a table of TOML states by the keys of some rows, over defaults."""
    chosen: dict[str, Any] = {}
    for key in (key for key in rows if key in table.values):
        try:
            chosen[rows[key].field] = rows[key].kind.convert(table.values[key])
        except (OptionError, OverflowError) as error:
            table.fail(key, str(error))
    return defaults.with_values(chosen)


def take_name(stem: str, choices: Choices) -> str:
    """Return a file name without suffix: the chart's, then what was asked to differ from it.

    >>> take_name("lantern stroll", Choices(key="Eb", without=("chords",)))
    'lantern_stroll-Eb-without_chords'
    """
    style = choices.style
    words = (
        stem,
        choices.section,
        f"bars_{choices.bars[0]}_{choices.bars[1]}" if choices.bars else None,
        choices.key,
        f"{style.tempo_bpm:g}bpm" if style.tempo_bpm is not None else None,
        f"{100 * style.tempo_share:g}percent" if style.tempo_share != 1.0 else None,
        "plain" if choices.lane == "plain" else None,
        "without_" + "_".join(choices.without) if choices.without else None,
        "only_" + "_".join(choices.only) if choices.only else None,
    )
    return "-".join(file_word(word) for word in words if word)
