"""Writing what was played: one function for every format, the only place that looks at a suffix.

:func:`write_notes` writes MIDI and cues of a performance by the suffixes of the paths and returns
what writes its recordings; commands, lessons, courses and the library all go through it, by
:func:`write_performance` for both at once. What belongs to recordings alone is a
:class:`Recording`, so that an hour's take can be dropped before it is rendered.

Nothing here imports numpy, the synth or mido until it is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from porchswing.audio.mix.strikes import Schedule, schedule_of
from porchswing.errors import OptionError
from porchswing.file_formats import ALL, NO_TAGS, SOUND, Tags
from porchswing.options import DEFAULT_SOUND, SoundSettings
from porchswing.outputs.files import write_whole
from porchswing.performance.model import Performance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from porchswing.audio.master.audio_report import AudioReport
    from porchswing.audio.master.mastering import Progress

CUES = "vtt"
"""Suffix of cues: what comes when, as WebVTT."""


@dataclass(frozen=True, slots=True)
class MidiSettings:
    """How MIDI files are made: format 0 or 1, General MIDI 2's banks, a channel for each string."""

    file_format: int = 1
    gm2: bool = False
    channel_per_string: bool = False


DEFAULT_MIDI = MidiSettings()


@dataclass(frozen=True, slots=True)
class Recording:
    """What recordings are made of: an hour is 6 MB where its take has 30.

    A ``loop`` wraps its tail round to its front.
    """

    schedule: Schedule
    sound: SoundSettings = DEFAULT_SOUND
    loop: bool = False
    tags: Tags = NO_TAGS

    def write(
        self,
        paths: Sequence[Path] | dict[str, Path],
        *,
        threads: int = 2,
        progress: Progress | None = None,
    ) -> AudioReport:
        """Render once and write all files, importing the synth only now.

        ``paths`` are the files of the mix, each in its suffix's format, or a dict with a file for
        each part named: it is heard alone there, at the level it has in the mix.
        """
        from porchswing.audio.master.audio_files import write_files, write_stems

        write: Callable[..., AudioReport] = write_stems if isinstance(paths, dict) else write_files
        return write(
            self.schedule,
            paths,
            self.sound,
            loop=self.loop,
            tags=self.tags,
            threads=threads,
            progress=progress,
        )


def suffix_of(path: Path) -> str:
    """Return the format a path asks for: its suffix in small letters, without the dot."""
    return path.suffix.lower().removeprefix(".")


def is_sound(path: Path) -> bool:
    """Return whether a path's suffix asks for a recording."""
    return suffix_of(path) in SOUND


def write_performance(
    performance: Performance,
    paths: Sequence[Path],
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    tags: Tags = NO_TAGS,
    samples: Callable[[], NDArray[np.float32]] | None = None,
    threads: int = 2,
) -> AudioReport | None:
    """Write a performance to every path, each whole or not at all, in the format of its suffix.

    Parameters
    ----------
    performance, paths
        What was played and where to: ``.mid``, ``.vtt`` (cues of the sections) or sound.
    sound, tags
        How recordings are made, what a player shows of them.
    samples
        Makes the sound where it is more than the performance alone, such as two lanes brought
        to one loudness: float32, shape (frames, 2), at its own level.
    threads
        How many shares are rendered at once.

    Returns
    -------
    AudioReport or None
        Length and loudness of the recordings, ``None`` where none was written.
    """
    recording = Recording(schedule_of(performance), sound, tags=tags)
    return write_notes(performance, recording, paths, samples=samples)(threads=threads)


class Record(Protocol):
    """Writes recordings and returns their length and loudness, ``None`` where there are none."""

    def __call__(self, *, threads: int = 2, progress: Progress | None = None) -> AudioReport | None:
        """Write them."""


def write_notes(
    performance: Performance,
    recording: Recording,
    paths: Sequence[Path],
    *,
    midi: MidiSettings = DEFAULT_MIDI,
    soundfont: Path | None = None,
    samples: Callable[[], NDArray[np.float32]] | None = None,
) -> Record:
    """Write MIDI and cues as :func:`write_performance` does; return what writes the recordings.

    It holds no performance, so that an hour's take can be dropped before it is called. ``midi``
    says how MIDI files are made; with a ``soundfont`` they are recorded through it.
    """
    for path in paths:
        if suffix_of(path) not in (*ALL, CUES):
            raise OptionError(f"suffix of {path.name!r} must be one of .{', .'.join(ALL)}")
    recordings = [path for path in paths if is_sound(path)]
    for path in paths:
        if suffix_of(path) == CUES:
            from porchswing.pages.cues import cue_text

            write_whole(path, cue_text(performance, "section").encode())
        elif not is_sound(path):
            write_whole(path, midi_file(performance, midi))
    if recordings and soundfont:
        return _through_soundfont(performance, recording, recordings, soundfont)
    if recordings and samples:
        return partial(_write_samples, samples, recording, recordings)
    return partial(recording.write, recordings) if recordings else _nothing


def _nothing(*, threads: int = 2, progress: Progress | None = None) -> None:
    """Write no recording."""


def midi_file(performance: Performance, midi: MidiSettings) -> bytes:
    """Return the bytes of a Standard MIDI File."""
    from porchswing.midi.smf import midi_bytes  # a recording does without mido

    return midi_bytes(
        performance,
        file_format=midi.file_format,
        gm2=midi.gm2,
        channel_per_string=midi.channel_per_string,
    )


def _through_soundfont(
    performance: Performance, recording: Recording, paths: Sequence[Path], soundfont: Path
) -> Record:
    """Return what records the MIDI of a performance through a SoundFont."""
    from porchswing.audio.master.soundfont import write_through_soundfont

    data, end_s = midi_file(performance, DEFAULT_MIDI), performance.end_s

    def record(*, threads: int = 2, progress: Progress | None = None) -> AudioReport:
        return write_through_soundfont(
            data, end_s, soundfont, paths, recording.sound, tags=recording.tags, progress=progress
        )

    return record


def _write_samples(
    samples: Callable[[], NDArray[np.float32]],
    recording: Recording,
    paths: Sequence[Path],
    *,
    threads: int = 2,
    progress: Progress | None = None,
) -> AudioReport:
    """Write samples that are made only now."""
    from porchswing.audio.master.audio_files import write_samples

    sound = replace(recording.sound, loudness_lufs=None)  # as loud as they are
    return write_samples(samples(), paths, sound, tags=recording.tags)
