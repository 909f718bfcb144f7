"""Sound files from a performance, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.cores.shares import run_threads
from porchswing.audio.master.audio_report import AudioReport
from porchswing.audio.master.encode import Sound, check_format, write_sound
from porchswing.audio.master.limiter import Mastered
from porchswing.audio.master.mastering import Progress, Spool, spooled, spooled_blocks, to_integers
from porchswing.audio.mix.mixdown import BLOCK_STEPS, Renderer, fade_gains
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
    """Write a measured spool in every format asked for, at the level that was asked for."""
    mastered = spool.master(sound.loudness_lufs, loop=loop)
    finish = partial(_finished, spool, sound, tags)
    _write_all(spool, paths, mastered, finish, progress)
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

            def make(index: int, place: int = place) -> Whole:
                return _stem_block(stems, place, index, mastered, sound.bit_depth)

            part = stack.enter_context(whole_file(path))
            own = replace(tags, title=f"{tags.title}: {name}" if tags.title else "")
            write_sound(part, path, _finished(mix, sound, own, make))
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
    blocks = faded((planar[:, at : at + step] for at in range(0, frames, step)), frames, sound)
    with spooled_blocks(blocks, frames, sound.rate_hz, paths[0].parent) as spool:
        return write_spool(spool, paths, sound, tags=tags)


def faded(
    blocks: Iterable[NDArray[np.float32]], length: int, sound: SoundSettings
) -> Iterator[NDArray[np.float32]]:
    """Yield blocks of (2, frames), the end of the last ones faded out where that is asked for."""
    start = 0
    for block in blocks:
        frames = np.arange(start, start + block.shape[1])
        start += block.shape[1]
        if sound.fade_s:
            block *= fade_gains(frames, length, round(sound.fade_s * sound.rate_hz))
        yield block


def check_writable(paths: Iterable[Path], sound: SoundSettings) -> None:
    """Raise unless the formats can hold such a sound."""
    for path in paths:
        check_format(path, sound.rate_hz, sound.mp3_kbps)


def _write_all(
    spool: Spool,
    paths: Sequence[Path],
    mastered: Mastered,
    finish: Callable[[Callable[[int], Whole]], Sound],
    progress: Progress | None,
) -> None:
    """Write every path from the spool at once, one thread a file.

    A second process for a WAV cost more than it saved (37 ms of processor time for 23).
    """
    done = [0] * len(paths)

    def write(place: int) -> None:
        def make(index: int) -> Whole:
            stereo = spool.get(index)
            gains = mastered.gains(index * spool.block_frames, stereo.shape[1])
            whole = to_integers(stereo, gains, sound.bit_depth, index)
            done[place] += 1
            if progress is not None:
                progress(sum(done) / (spool.blocks * len(paths)))
            return whole

        sound = finish(make)
        write_sound(parts[place], paths[place], sound)

    with ExitStack() as stack:
        parts = [stack.enter_context(whole_file(path)) for path in paths]
        run_threads(write, len(parts))
    if progress is not None:
        progress(1.0)


def _finished(
    spool: Spool, settings: SoundSettings, tags: Tags, make: Callable[[int], Whole]
) -> Sound:
    """Return a spool's sound, its blocks made whole numbers by ``make``."""
    return Sound(
        make,
        spool.blocks,
        spool.block_frames,
        spool.frames,
        spool.rate_hz,
        settings.bit_depth,
        tags,
        settings.mp3_kbps,
    )


def _stem_block(
    stems: Sequence[Spool], place: int, index: int, mastered: Mastered, bit_depth: int
) -> Whole:
    """Return a block of one stem: the rounded sum up to it less the rounded sum before it.

    The limiter's gains are the mix's own.
    """
    own = stems[place].get(index)
    gains = mastered.gains(index * stems[place].block_frames, own.shape[1])
    before = sum((stem.get(index) for stem in stems[:place]), np.zeros((2, 1), np.float32))
    upto = to_integers(before + own, gains, bit_depth, index)
    if place:
        upto -= to_integers(before, gains, bit_depth, index)
    return upto


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
