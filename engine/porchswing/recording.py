"""Writing what was played: one function for every format, the only place that looks at a suffix.

:func:`write_performance` writes a performance as MIDI, recordings and cues by the suffixes of the
paths; commands, lessons, courses and the library all go through it. What belongs to recordings
alone is a :class:`Recording`, so that an hour's take can be dropped before it is rendered.

Nothing here imports numpy, the synth or mido until it is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from porchswing.audio.cores.forks import start_in
from porchswing.audio.mix.strikes import Schedule, schedule_of
from porchswing.errors import OptionError
from porchswing.file_formats import ALL, NO_TAGS, SOUND, Tags
from porchswing.options import DEFAULT_SOUND, SoundSettings
from porchswing.outputs.files import write_whole
from porchswing.performance.model import Performance

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from porchswing.audio.cores.forks import Helper
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

    def start(
        self,
        paths: Sequence[Path] | dict[str, Path],
        *,
        threads: int = 2,
        progress: Progress | None = None,
        helper: Helper | None = None,
    ) -> Callable[[], AudioReport]:
        """Start to write, in the ``helper`` or here; call what is returned to wait for the report.

        ``paths`` are the files of the mix, each in its suffix's format, or a dict with a file for
        each part named: it is heard alone there, at the level it has in the mix.
        """
        return start_in(helper, record, progress, self, paths, threads)


def record(
    recording: Recording,
    paths: Sequence[Path] | dict[str, Path],
    threads: int,
    *,
    progress: Progress | None = None,
) -> AudioReport:
    """Render a recording once and write its files, importing the synth only now."""
    from porchswing.audio.master.audio_files import write_files, write_stems

    write: Callable[..., AudioReport] = write_stems if isinstance(paths, dict) else write_files
    return write(
        recording.schedule,
        paths,
        recording.sound,
        loop=recording.loop,
        tags=recording.tags,
        threads=threads,
        progress=progress,
    )


def warm_up(pieces: frozenset[str], rate_hz: int) -> None:
    """Make ready what a recording at a rate will use, the pieces of the kit among it."""
    from porchswing.audio.master import audio_files

    audio_files.warm_up(pieces, rate_hz)


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
    loop: bool = False,
    tags: Tags = NO_TAGS,
    midi: MidiSettings = DEFAULT_MIDI,
    soundfont: Path | None = None,
    samples: Callable[[], NDArray[np.float32]] | None = None,
    threads: int = 2,
    progress: Progress | None = None,
) -> AudioReport | None:
    """Write a performance to every path, each whole or not at all, in the format of its suffix.

    Parameters
    ----------
    performance, paths
        What was played and where to: ``.mid``, ``.vtt`` (cues of the sections) or sound.
    sound, loop, tags
        How recordings are made, whether the tail wraps round, what a player shows of them.
    midi
        How MIDI files are made.
    soundfont
        Record the MIDI through this SoundFont.
    samples
        Makes the sound where it is more than the performance alone, such as two lanes brought
        to one loudness: float32, shape (frames, 2), at its own level.
    threads, progress
        How many shares are rendered at once; called with the share done, 0 to 1.

    Returns
    -------
    AudioReport or None
        Length and loudness of the recordings, ``None`` where none was written.
    """
    recording = Recording(schedule_of(performance), sound, loop, tags)
    return start_writing(
        performance,
        recording,
        paths,
        midi=midi,
        soundfont=soundfont,
        samples=samples,
        threads=threads,
        progress=progress,
    )()


def start_writing(
    performance: Performance,
    recording: Recording,
    paths: Sequence[Path],
    *,
    midi: MidiSettings = DEFAULT_MIDI,
    soundfont: Path | None = None,
    samples: Callable[[], NDArray[np.float32]] | None = None,
    threads: int = 2,
    progress: Progress | None = None,
    helper: Helper | None = None,
) -> Callable[[], AudioReport | None]:
    """Start what :func:`write_performance` does; return how to wait for it.

    A ``helper`` records while MIDI and cues are written here. What is returned holds no
    performance, so that an hour's take can be dropped before it is called.
    """
    for path in paths:
        if suffix_of(path) not in (*ALL, CUES):
            known = ", ".join(f".{word}" for word in ALL)
            raise OptionError(f"suffix of {path.name!r} must be one of {known}")
    recordings = [path for path in paths if is_sound(path)]
    waiting: Callable[[], AudioReport | None] = _nothing
    if recordings and soundfont:
        waiting = _through_soundfont(performance, recording, recordings, soundfont, progress)
    elif recordings and samples:
        waiting = partial(_write_samples, samples, recording, recordings)
    elif recordings:
        waiting = recording.start(recordings, threads=threads, progress=progress, helper=helper)
    for path in paths:
        if not is_sound(path):
            write_whole(path, _text_or_midi(performance, path, midi))
    return waiting


def _nothing() -> None:
    """Wait for no recording."""


def _text_or_midi(performance: Performance, path: Path, midi: MidiSettings) -> bytes:
    """Return the bytes of a file that holds no sound."""
    if suffix_of(path) == CUES:
        from porchswing.pages.cues import cue_text

        return cue_text(performance, "section").encode()
    return midi_file(performance, midi)


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
    performance: Performance,
    recording: Recording,
    paths: Sequence[Path],
    soundfont: Path,
    progress: Progress | None,
) -> Callable[[], AudioReport]:
    from porchswing.audio.master.soundfont import write_through_soundfont
    from porchswing.midi.smf import midi_bytes

    return partial(
        write_through_soundfont,
        midi_bytes(performance),
        performance.end_s,
        soundfont,
        paths,
        recording.sound,
        tags=recording.tags,
        progress=progress,
    )


def _write_samples(
    samples: Callable[[], NDArray[np.float32]], recording: Recording, paths: Sequence[Path]
) -> AudioReport:
    from porchswing.audio.master.audio_files import write_samples

    made = samples()
    sound, tags = recording.sound, recording.tags
    reports = [write_samples(made, path, sound, tags=tags, own_level=True) for path in paths]
    return replace(reports[0], paths=tuple(paths))
