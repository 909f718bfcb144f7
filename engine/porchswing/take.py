"""One take: an arrangement performed, ready to be written as MIDI or audio.

:func:`arrange` is the library's step from a lead and its grips to a :class:`Take`;
:func:`take_from_chart` goes the whole way from a chart and a teacher's
:class:`~porchswing.options.Choices`, and is what every command, lesson and course uses.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from os import PathLike
from pathlib import Path
from shutil import copyfileobj
from tempfile import TemporaryDirectory
from typing import IO, TYPE_CHECKING

from porchswing.audio.cores.forks import start_in
from porchswing.audio.mix.strikes import schedule_of
from porchswing.audio.synth.voices import PLUCKED
from porchswing.band.score import Score
from porchswing.chart.model import Chart, Meter, SwingSetting
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.transpose import transpose
from porchswing.chart.unroll import unroll
from porchswing.errors import MissingExtraError, OptionError, check_file, check_types
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.grips.shapes.model import Voicing
from porchswing.harmony.choice.lead import Lead
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.option_kinds import swing_setting
from porchswing.options import DEFAULTS, BandStyle, Choices
from porchswing.outputs.files import write_whole
from porchswing.performance.model import Performance
from porchswing.recording import (
    DEFAULT_MIDI,
    MidiSettings,
    Recording,
    midi_file,
    start_writing,
    warm_up,
)

if TYPE_CHECKING:
    import numpy as np
    import pretty_midi
    from numpy.typing import NDArray

    from porchswing.audio.cores.forks import Helper
    from porchswing.audio.master.audio_report import AudioReport
    from porchswing.audio.master.mastering import Progress


@dataclass(frozen=True, slots=True)
class Take:
    """Music as written (``score``) and as played (``performance``), with its choices."""

    score: Score
    performance: Performance
    choices: Choices
    tags: Tags = NO_TAGS

    @property
    def tempo_bpm(self) -> float:
        """Felt beats a minute at the first bar (dotted quarters in compound meters)."""
        quarter_bpm = self.score.tempo_map.segments[0].quarter_bpm
        return quarter_bpm / 1.5 if Meter(*self.score.meter).is_compound else quarter_bpm

    def __str__(self) -> str:
        """Return title, parts, tempo, swing and length (minutes and seconds) in one line."""
        minutes, seconds = divmod(round(self.performance.end_s), 60)
        ratio = float(self.score.tempo_map.segments[0].ratio)
        return (
            f"{self.score.title}: {', '.join(self.parts)}; {self.tempo_bpm:g} bpm, "
            f"{'straight' if ratio == 1 else f'swing {ratio:.1f} : 1'}, {minutes}:{seconds:02d}"
        )

    @property
    def parts(self) -> tuple[str, ...]:
        """Names of the parts that play."""
        return tuple(part.name for part in self.performance.parts)

    def with_score(self, score: Score) -> Take:
        """Return the take with another score, performed as this one was."""
        from porchswing.performance.perform import perform

        performance = perform(score, humanize=self.choices.humanize)
        return replace(self, score=score, performance=performance)

    def leaving_out(self, parts: Sequence[str]) -> Take:
        """Return the take without some parts; what the others play stays the same."""
        parts = _names("parts", parts)
        return replace(
            self,
            score=_with_parts(self.score, parts, ()),
            performance=replace(
                self.performance,
                parts=tuple(part for part in self.performance.parts if part.name not in parts),
            ),
        )

    def midi_bytes(
        self,
        *,
        file_format: int = DEFAULT_MIDI.file_format,
        gm2: bool = DEFAULT_MIDI.gm2,
        channel_per_string: bool = DEFAULT_MIDI.channel_per_string,
    ) -> bytes:
        """Return the bytes of a Standard MIDI File, 960 ticks a quarter.

        Parameters
        ----------
        file_format
            1 (a track a part) or 0 (one track).
        gm2
            Use General MIDI 2's ukulele and brush kit.
        channel_per_string
            Give every string of the chord and line parts a channel of its own.

        Raises
        ------
        OptionError
            For another file format.
        """
        midi = MidiSettings(file_format, gm2, channel_per_string)
        return midi_file(self.performance, midi)

    def write_midi(
        self,
        path: str | PathLike[str] | IO[bytes],
        *,
        file_format: int = DEFAULT_MIDI.file_format,
        gm2: bool = DEFAULT_MIDI.gm2,
        channel_per_string: bool = DEFAULT_MIDI.channel_per_string,
    ) -> None:
        """Write a Standard MIDI File, whole or not at all; options as in :meth:`midi_bytes`.

        Parameters
        ----------
        path
            Where to, or a file object open for writing bytes.

        Raises
        ------
        OutputError
            Where the path cannot be written.
        """
        data = self.midi_bytes(
            file_format=file_format, gm2=gm2, channel_per_string=channel_per_string
        )
        if isinstance(path, str | PathLike):
            write_whole(Path(path), data)
        else:
            check_file("path", path, "write").write(data)

    def write_audio(
        self, path: str | PathLike[str] | IO[bytes], *, file_format: str | None = None
    ) -> AudioReport:
        """Write audio at the loudness, rate and bit depth of the take's choices.

        Parameters
        ----------
        path
            Where to, or a file object open for writing bytes.
        file_format
            ``wav flac ogg mp3`` for a file object (default ``wav``); a path's suffix says it.

        Returns
        -------
        AudioReport
            Length in seconds, loudness in LUFS, true peak in dBTP.

        Raises
        ------
        OptionError
            For an unknown format, or a rate the format does not have.
        OutputError
            Where the path cannot be written.
        """
        check_types(file_format=(file_format, str, None))
        if isinstance(path, str | PathLike):
            if file_format is not None:
                raise OptionError(f"file_format is for file objects; the suffix of {path} says it")
            return self.recording.start([Path(path)])()
        file = check_file("path", path, "write")
        with TemporaryDirectory() as folder:
            whole = Path(folder) / f"take.{file_format or 'wav'}"
            report = self.recording.start([whole])()
            with whole.open("rb") as source:
                copyfileobj(source, file)
        return replace(report, paths=())

    def samples(self) -> NDArray[np.float32]:
        """Return the mastered recording as samples, before it is rounded for a file.

        Returns
        -------
        numpy.ndarray
            float32 of shape (frames, 2), left and right, full scale 1.0, at the rate (Hz) and
            loudness (LUFS) of ``choices.sound``.
        """
        from porchswing.audio.master.audio_files import mastered_samples

        schedule = schedule_of(self.performance)
        return mastered_samples(schedule, self.choices.sound, loop=self.choices.style.loop)

    def to_pretty_midi(self) -> pretty_midi.PrettyMIDI:
        """Return the take as a ``pretty_midi.PrettyMIDI`` (extra ``analysis``), times in seconds.

        Raises
        ------
        MissingExtraError
            Where pretty_midi is not installed.
        """
        try:
            import pretty_midi
        except ImportError:
            raise MissingExtraError(
                "to_pretty_midi needs pretty_midi: pip install 'porchswing[analysis]'"
            ) from None
        return pretty_midi.PrettyMIDI(BytesIO(self.midi_bytes()))

    @property
    def recording(self) -> Recording:
        """What its recordings are made of."""
        schedule = schedule_of(self.performance)
        return Recording(schedule, self.choices.sound, self.choices.style.loop, self.tags)

    def write(
        self,
        paths: Sequence[Path],
        *,
        threads: int = 2,
        progress: Progress | None = None,
    ) -> AudioReport | None:
        """Write every path in its suffix's format; return length and loudness of recordings."""
        writing = start_writing(
            self.performance, self.recording, paths, threads=threads, progress=progress
        )
        return writing()

    def write_stems(self, paths: Mapping[str, Path], *, threads: int = 2) -> AudioReport:
        """Write each part named alone, at the level it has in the mix: they sum to it."""
        return self.recording.start_stems(paths, threads=threads)()


def arrange(
    lead: Lead | Chart,
    grips: Voicing,
    *,
    tempo: float | None = None,
    swing: SwingSetting | float | str | None = None,
    without: str | Sequence[str] = (),
    only: str | Sequence[str] = (),
    section: str | None = None,
    bars: tuple[int, int] | None = None,
    choruses: int = DEFAULTS.choruses,
    seed: int | None = None,
    humanize: float = DEFAULTS.humanize,
    style: BandStyle | None = None,
) -> Take:
    """Return the take of a lead: arranged for the band with its grips, and performed.

    Parameters
    ----------
    lead
        What :func:`reharmonize` returned, or a chart.
    grips
        What :func:`voice` returned for it; its lane is the lane that is played.
    tempo
        Felt beats a minute, 30 to 400 (default: the chart's).
    swing
        A ratio, or a text as charts write it: ``2:1``, ``66%``, ``straight``, ``auto``.
    without, only
        Parts to leave out, or the only parts to play; one name may stand alone.
    section
        The only section to play.
    bars
        First and last bar to play, from 1.
    choruses
        How often the form is played.
    seed
        Random seed; it overrides the chart's.
    humanize
        Human timing and touch, 0 (on the grid) to 1.
    style
        Everything else about how the band plays.

    Returns
    -------
    Take
        The score, its performance and the choices that made it.

    Raises
    ------
    OptionError
        For a value out of range, an unknown part or section, or no part left to play.
    """
    check_types(
        lead=(lead, Lead, Chart), grips=(grips, Voicing), tempo=(tempo, int, float, None),
        swing=(swing, SwingSetting, int, float, str, None), style=(style, BandStyle, None),
    )  # fmt: skip
    style = style or BandStyle()
    if swing is not None:
        style = replace(style, swing=swing_setting(swing))
    if tempo is not None:
        style = replace(style, tempo_bpm=tempo)
    if seed is not None:
        style = replace(style, seed=seed)
    choices = Choices(
        lane=grips.lane,
        section=section,
        bars=bars,
        choruses=choruses,
        without=_names("without", without),
        only=_names("only", only),
        humanize=humanize,
        style=style,
    )
    return _perform(lead, lambda: grips, choices)


def _names(name: str, parts: str | Sequence[str]) -> tuple[str, ...]:
    """Return the names of an argument; one name may stand alone."""
    check_types(**{name: (parts, str, Sequence)})
    return (parts,) if isinstance(parts, str) else tuple(parts)


def take_from_chart(chart: Chart, choices: Choices, helper: Helper | None = None) -> Take:
    """Return the take of a chart: transposed, reharmonised, voiced, arranged and performed.

    Parameters
    ----------
    chart
        The chart.
    choices
        How it is played; the defaults are those of the command line.
    helper
        A process that chooses the grips while the band plays what needs none of them.

    Returns
    -------
    Take
        The score, its performance and the choices that made it.

    Raises
    ------
    OptionError
        For a key, swap, section or voice that is unknown, or no part left to play.
    GripError
        Where a chord cannot be gripped within the limits.
    """
    check_types(chart=(chart, Chart), choices=(choices, Choices))
    lead = lead_of(chart, choices)
    return _perform(lead, _start_voicing(lead, choices, helper), choices, helper)


def lead_of(chart: Chart, choices: Choices) -> Lead | Chart:
    """Return the chart in the key asked for, reharmonised where the swing lane is played."""
    if choices.key is not None:
        chart = transpose(chart, choices.key)
    if choices.lane != "swing":
        return chart
    return reharmonize(chart, depth=choices.depth, use=choices.use, avoid=choices.avoid)


def lead_and_grips(chart: Chart, choices: Choices) -> tuple[Lead | Chart, Voicing]:
    """Return the lead (the chart itself in the plain lane) and the grips chosen for it."""
    lead = lead_of(chart, choices)
    return lead, _start_voicing(lead, choices)()


def _start_voicing(
    lead: Lead | Chart, choices: Choices, helper: Helper | None = None
) -> Callable[[], Voicing]:
    """Start choosing the grips; return how to wait for them."""
    return start_in(helper, choose_grips, None, lead, choices)


def choose_grips(lead: Lead | Chart, choices: Choices) -> Voicing:
    """Return the grips chosen for a lead, importing the search (and numpy) only now."""
    from porchswing.grips.search.voice import voice

    return voice(
        lead,
        tuning=choices.tuning,
        lane=choices.lane,
        grips=choices.grips,
        line=choices.line,
        max_fret=choices.max_fret,
        max_stretch=choices.max_stretch,
        ease=choices.ease,
        loop=choices.style.loop,
    )


def take_along(chart: Chart, roadmap: Roadmap, grips: Voicing, choices: Choices) -> Take:
    """Return the take of a roadmap that is given, for drills with bars in another order.

    ``choices`` says how it is played and which parts; its section, bars and choruses are
    ignored: the roadmap already fixes them.
    """
    return _played(chart, roadmap, lambda: grips, choices)


def _played(
    chart: Chart,
    roadmap: Roadmap,
    grips: Callable[[], Voicing],
    choices: Choices,
    helper: Helper | None = None,
) -> Take:
    """Arrange and perform a roadmap; ``grips`` are waited for when they are needed.

    A ``helper`` prepares the sounds of the kit meanwhile.
    """
    # loaded here, while a helper may be choosing the grips
    from porchswing.band.compose import backing, compose_score, seeded
    from porchswing.performance.perform import perform

    style = seeded(choices.style, chart)
    backed = backing(chart, roadmap, style)
    voicing = grips()
    if helper is not None:
        helper.hint(warm_up, backed.pieces, choices.sound.rate_hz)
    score = compose_score(
        chart,
        roadmap,
        voicing,
        style,
        backed,
        extra_parts=choices.extra_parts,
        line_string=choices.line.string if choices.line else None,
    )
    score = _with_parts(score, choices.without, choices.only)
    if choices.voice is not None:
        score = _with_voice(score, choices.voice)
    performance = perform(score, humanize=choices.humanize)
    tags = Tags(chart.title, chart.by)
    return Take(score, performance, replace(choices, style=style), tags)


def road_of(chart: Chart, choices: Choices) -> Roadmap:
    """Return the bars that the choices ask for, in playing order."""
    return unroll(
        chart,
        lane=choices.lane,
        choruses=choices.choruses,
        sections=(choices.section,) if choices.section else None,
        bars=choices.bars,
    )


def _perform(
    lead: Lead | Chart,
    grips: Callable[[], Voicing],
    choices: Choices,
    helper: Helper | None = None,
) -> Take:
    chart = lead.chart if isinstance(lead, Lead) else lead
    road = road_of(chart, choices)
    if "melody" in choices.extra_parts and not any(bar.melody for bar in road.bars):
        raise OptionError(
            "there is no melody here to play: it is a lane of the chart, "
            "such as melody | A4:2 C5:1 r:1 |"
        )
    return _played(chart, road, grips, choices, helper)


def _with_parts(score: Score, without: Sequence[str], only: Sequence[str]) -> Score:
    names = [part.name for part in score.parts]
    kept = tuple(p for p in score.parts if p.name not in without and (not only or p.name in only))
    if not kept:
        raise OptionError(f"no part is left to play; this take has {', '.join(names)}")
    return replace(score, parts=kept)


def _with_voice(score: Score, voice: str) -> Score:
    """Return the score with chords and line on another instrument."""
    if voice not in PLUCKED:
        raise OptionError(f"unknown voice {voice!r}; voices are {', '.join(PLUCKED)}")
    fretted = ("chords", "line")
    parts = (replace(p, instrument=voice) if p.name in fretted else p for p in score.parts)
    return replace(score, parts=tuple(parts))
