"""Sound files from a performance, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.cores.shares import run_threads
from porchswing.audio.master.audio_report import AudioReport
from porchswing.audio.master.encode import Sound, check_writable, write_sound
from porchswing.audio.master.limiter import Mastered
from porchswing.audio.master.mastering import Progress, Spool, spooled, spooled_blocks, to_integers
from porchswing.audio.mix.mixdown import BLOCK_STEPS, Renderer
from porchswing.audio.mix.strikes import Schedule
from porchswing.errors import OptionError
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.options import DEFAULT_SOUND, SoundSettings
from porchswing.outputs.files import whole_file
from porchswing.units import step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.audio.master.encode import Whole

_RENDER_SHARE = 0.8
"""How much of the progress the rendering is, the rest being the writing."""


def write_files(
    schedule: Schedule,
    paths: Sequence[Path],
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    loop: bool = False,
    tags: Tags = NO_TAGS,
    threads: int = 2,
    progress: Progress | None = None,
) -> AudioReport:
    """Render once and write every format asked for, encoded at the same time.

    Encoders take longer than the render; each runs in a thread of its own, working outside
    Python's lock.

    Parameters
    ----------
    schedule, paths
        What to play and where to (``.wav .flac .ogg .mp3``, the format by the suffix).
    sound
        Rate, bits (16 are dithered), fade, and the integrated loudness to reach (ITU-R
        BS.1770-4); ``loudness_lufs`` None keeps the desk's level. No true peak passes -1 dBTP: a
        limiter takes up to 3 dB off the loudest for it, and the report gives how much, and the
        loudness reached where that is not enough.
    loop
        Wrap the tail round to the front.
    tags
        What a player shows of the file.
    threads
        How many shares are rendered at once (:mod:`porchswing.audio.cores.shares`); the samples
        do not depend on it.
    progress
        Called with the share done, 0 to 1.
    """
    check_writable(paths, sound)
    rendering = _scaled(progress, 0.0, _RENDER_SHARE)
    with spooled(
        Renderer(schedule, sound.rate_hz, loop=loop, fade_s=sound.fade_s),
        paths[0].parent,
        threads,
        rendering,
    ) as spool:
        writing = _scaled(progress, _RENDER_SHARE, 1.0)
        return write_spool(spool, paths, sound, tags=tags, loop=loop, progress=writing)


def mastered_samples(
    schedule: Schedule,
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    loop: bool = False,
) -> NDArray[np.float32]:
    """Return what a file would hold before it is rounded: float32 (frames, 2), full scale 1.0."""
    renderer = Renderer(schedule, sound.rate_hz, loop=loop, fade_s=sound.fade_s)
    with TemporaryDirectory() as folder, spooled(renderer, Path(folder)) as spool:
        mastered = spool.master(sound.loudness_lufs, loop=loop)
        planar = np.concatenate([spool.get(index) for index in range(spool.blocks)], axis=1)
    planar *= mastered.gains(0, planar.shape[1])
    return np.ascontiguousarray(planar.T)


def write_spool(
    spool: Spool,
    paths: Sequence[Path],
    sound: SoundSettings,
    *,
    tags: Tags = NO_TAGS,
    loop: bool = False,
    progress: Progress | None = None,
) -> AudioReport:
    """Write a measured spool in every format asked for at once, at the level that was asked for.

    One thread a file: a second process for a WAV cost more than it saved (37 ms of processor time
    for 23).
    """
    mastered = spool.master(sound.loudness_lufs, loop=loop)
    done = [0] * len(paths)

    def blocks(place: int) -> Iterator[Whole]:
        for index in range(spool.blocks):
            stereo = spool.get(index)
            gains = mastered.gains(index * spool.block_frames, stereo.shape[1])
            whole = to_integers(stereo, gains, sound.bit_depth, index)
            done[place] += 1
            if progress is not None:
                progress(sum(done) / (spool.blocks * len(paths)))
            yield whole

    def write(place: int) -> None:
        finished = Sound(blocks(place), spool.frames, sound, tags)
        write_sound(parts[place], paths[place], finished)

    with ExitStack() as stack:
        parts = [stack.enter_context(whole_file(path)) for path in paths]
        run_threads(write, len(parts))
    if progress is not None:
        progress(1.0)
    return _report(paths, spool.frames, spool.rate_hz, mastered)


def write_stems(
    schedule: Schedule,
    paths: Mapping[str, Path],
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    loop: bool = False,
    tags: Tags = NO_TAGS,
    threads: int = 2,
    progress: Progress | None = None,
) -> AudioReport:
    """Write every part named in ``paths`` by itself, at the level it has in their mix.

    Added up, sample by sample, the files are their mix: each is rounded so that the sum of
    the first files is the rounded sum of the first parts.
    """
    check_writable(paths.values(), sound)
    whole = Renderer(schedule, sound.rate_hz, parts=tuple(paths), loop=loop, fade_s=sound.fade_s)
    folder = next(iter(paths.values())).parent
    with ExitStack() as stack:
        mix = stack.enter_context(spooled(whole, folder, threads, _scaled(progress, 0.0, 0.4)))
        stems = [stack.enter_context(spooled(whole.only(name), folder, threads)) for name in paths]
        mastered = mix.master(sound.loudness_lufs, loop=loop)
        for place, (name, path) in enumerate(paths.items()):
            part = stack.enter_context(whole_file(path))
            own = replace(tags, title=f"{tags.title}: {name}" if tags.title else "")
            blocks = _stem_blocks(stems[: place + 1], mastered, sound.bit_depth)
            write_sound(part, path, Sound(blocks, mix.frames, sound, own))
            if progress is not None:
                progress(0.4 + 0.6 * (place + 1) / len(paths))
    return _report(tuple(paths.values()), whole.frames, sound.rate_hz, mastered)


def write_samples(
    samples: NDArray[np.float32],
    paths: Sequence[Path],
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    tags: Tags = NO_TAGS,
) -> AudioReport:
    """Write stereo samples, shape (frames, 2), in every format (see :func:`write_files`)."""
    check_writable(paths, sound)
    planar = np.ascontiguousarray(np.asarray(samples, np.float32).T)
    if planar.shape[0] != 2:
        raise OptionError(f"samples must have shape (frames, 2), got {np.shape(samples)}")
    step, frames = BLOCK_STEPS * step_frames(sound.rate_hz), planar.shape[1]
    blocks = (planar[:, at : at + step] for at in range(0, frames, step))
    folder = paths[0].parent
    with spooled_blocks(blocks, frames, sound.rate_hz, folder, fade_s=sound.fade_s) as spool:
        return write_spool(spool, paths, sound, tags=tags)


def _stem_blocks(stems: Sequence[Spool], mastered: Mastered, bit_depth: int) -> Iterator[Whole]:
    """Yield the last stem's blocks: the rounded sum up to it less the rounded sum before it.

    The limiter's gains are the mix's own.
    """
    *others, own = stems
    for index in range(own.blocks):
        stereo = own.get(index)
        gains = mastered.gains(index * own.block_frames, stereo.shape[1])
        before = sum((stem.get(index) for stem in others), np.zeros((2, 1), np.float32))
        upto = to_integers(before + stereo, gains, bit_depth, index)
        if others:
            upto -= to_integers(before, gains, bit_depth, index)
        yield upto


def _scaled(progress: Progress | None, start: float, end: float) -> Progress | None:
    """Return a progress that fills one stretch of another."""
    if progress is None:
        return None
    return lambda share: progress(start + (end - start) * share)


def _report(paths: Sequence[Path], frames: int, rate_hz: int, mastered: Mastered) -> AudioReport:
    return AudioReport(
        tuple(paths), frames / rate_hz, rate_hz, mastered.loudness_lufs, mastered.true_peak_dbtp,
        mastered.held_back_db, mastered.reduction_db,
    )  # fmt: skip
