"""One take: an arrangement performed, ready to be written as MIDI or audio."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from os import PathLike
from pathlib import Path
from shutil import copyfileobj
from tempfile import TemporaryDirectory
from typing import IO, TYPE_CHECKING

from porchswing.audio.mix.strikes import schedule_of
from porchswing.band.score import Score
from porchswing.chart.model import Meter
from porchswing.errors import OptionError, check_file, check_types, missing_extra
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.options import Choices
from porchswing.outputs.files import write_whole
from porchswing.performance.model import Performance
from porchswing.recording import (
    DEFAULT_MIDI,
    MidiSettings,
    Recording,
    midi_file,
    write_notes,
)
from porchswing.units import clock

if TYPE_CHECKING:
    import numpy as np
    import pretty_midi
    from numpy.typing import NDArray

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
        return quarter_bpm / float(Meter(*self.score.meter).felt_beats)

    def __str__(self) -> str:
        """Return title, parts, tempo, swing and length (minutes and seconds) in one line."""
        ratio = float(self.score.tempo_map.segments[0].ratio)
        return (
            f"{self.score.title}: {', '.join(self.parts)}; {self.tempo_bpm:g} bpm, "
            f"{'straight' if ratio == 1 else f'swing {ratio:.1f} : 1'}, "
            f"{clock(self.performance.end_s)}"
        )

    @property
    def parts(self) -> tuple[str, ...]:
        """Names of the parts that play."""
        return tuple(part.name for part in self.performance.parts)

    def with_score(self, score: Score) -> Take:
        """Return the take with another score, performed as this one was."""
        from porchswing.performance.perform import perform

        return replace(
            self, score=score, performance=perform(score, humanize=self.choices.humanize)
        )

    def leaving_out(self, parts: Sequence[str]) -> Take:
        """Return the take without some parts; what the others play stays the same."""
        parts = names_of("parts", parts)
        return replace(
            self,
            score=with_parts(self.score, parts, ()),
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
        return midi_file(self.performance, MidiSettings(file_format, gm2, channel_per_string))

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
            return self.recording.write([Path(path)])
        file = check_file("path", path, "write")
        with TemporaryDirectory() as folder:
            whole = Path(folder) / f"take.{file_format or 'wav'}"
            report = self.recording.write([whole])
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

        recording = self.recording
        return mastered_samples(recording.schedule, recording.sound, loop=recording.loop)

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
            raise missing_extra("to_pretty_midi", "analysis") from None
        return pretty_midi.PrettyMIDI(BytesIO(self.midi_bytes()))

    @property
    def recording(self) -> Recording:
        """What its recordings are made of."""
        return Recording(
            schedule_of(self.performance), self.choices.sound, self.choices.style.loop, self.tags
        )

    def write(
        self,
        paths: Sequence[Path],
        *,
        threads: int = 2,
        progress: Progress | None = None,
    ) -> AudioReport | None:
        """Write every path in its suffix's format; return length and loudness of recordings."""
        record = write_notes(self.performance, self.recording, paths)
        return record(threads=threads, progress=progress)

    def write_stems(self, paths: Mapping[str, Path], *, threads: int = 2) -> AudioReport:
        """Write each part named alone, at the level it has in the mix: they sum to it."""
        return self.recording.write(dict(paths), threads=threads)


def names_of(name: str, parts: str | Sequence[str]) -> tuple[str, ...]:
    """Return the names of an argument; one name may be given by itself."""
    check_types(**{name: (parts, str, Sequence)})
    return (parts,) if isinstance(parts, str) else tuple(parts)


def with_parts(score: Score, without: Sequence[str], only: Sequence[str]) -> Score:
    """Return the score with only the parts that play; raise where none is left."""
    names = [part.name for part in score.parts]
    kept = tuple(p for p in score.parts if p.name not in without and (not only or p.name in only))
    if not kept:
        raise OptionError(f"no part is left to play; this take has {', '.join(names)}")
    return replace(score, parts=kept)
