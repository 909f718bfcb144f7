"""Sound files by suffix: our own WAV, MP3 through LAME, FLAC and Ogg Vorbis through libsndfile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.master.wav import info_chunk, pack, wav_header
from porchswing.errors import OptionError, OutputError
from porchswing.file_formats import BY_SUFFIX, NO_TAGS, SOUND, FileFormat, Tags

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.int16] | NDArray[np.int32]

_FRAMES_AT_ONCE = 32768


def check_format(path: Path, rate_hz: int, kbps: int | None = None) -> None:
    """Raise unless sound can be written in the format of a path's suffix, at the rates."""
    file_format = sound_format(path)
    rates_hz = file_format.rates_hz
    if rates_hz and rate_hz not in rates_hz:
        known = ", ".join(map(str, rates_hz))
        name = path.suffix[1:].upper()
        raise OptionError(f"rate of {name} must be one of {known} Hz, got {rate_hz}")
    if kbps is not None and file_format.container == "MP3":
        from porchswing.audio.master.mp3 import check_kbps

        check_kbps(kbps, rate_hz)


def sound_format(path: Path) -> FileFormat:
    """Return the format of a recording's path."""
    found = BY_SUFFIX.get(path.suffix.lower()[1:])
    if found is None or not found.is_sound:
        known = ", ".join(f".{word}" for word in SOUND)
        raise OptionError(f"suffix of {path.name!r} must be one of {known} for sound")
    return found


class Sound(NamedTuple):
    """A finished sound: ``blocks`` of ``block_frames`` (the last one shorter), made on demand.

    ``make`` returns a block as whole numbers of ``bit_depth``, shape (frames, 2); blocks are asked
    for in their order. ``kbps`` is the constant bit rate of an MP3.
    """

    make: Callable[[int], Whole]
    blocks: int
    block_frames: int
    frames: int
    rate_hz: int
    bit_depth: int
    tags: Tags = NO_TAGS
    kbps: int | None = None


def write_sound(path: Path, name: Path, sound: Sound) -> None:
    """Write one file to ``path``, a temporary name, in the format that ``name`` will have."""
    file_format = sound_format(name)
    if file_format.container == "WAV":
        _write_wav(path, sound)
    elif file_format.container == "MP3":
        from porchswing.audio.master.mp3 import write_mp3

        with path.open("w+b") as file:
            write_mp3(
                file, _blocks_of_16_bits(sound), sound.rate_hz, kbps=sound.kbps, tags=sound.tags
            )
    else:
        _write_encoded(path, file_format, sound)


def _write_wav(path: Path, sound: Sound) -> None:
    """Write a WAV file."""
    info = info_chunk(sound.tags)
    with path.open("wb") as file:
        file.write(wav_header(sound.frames, sound.rate_hz, sound.bit_depth, more_bytes=len(info)))
        for index in range(sound.blocks):
            file.write(pack(sound.make(index)))
        file.write(info)


def _blocks_of_16_bits(sound: Sound) -> Iterator[NDArray[np.int16]]:
    """Yield the blocks of a sound in order, 24 bits rounded to 16."""
    for index in range(sound.blocks):
        block = sound.make(index)
        if sound.bit_depth == 24:
            block = np.minimum((block + 128) >> 8, 32767)
        yield block.astype(np.int16, copy=False)


def _write_encoded(path: Path, file_format: FileFormat, sound: Sound) -> None:
    """Write a sound through libsndfile."""
    import soundfile

    from porchswing.audio.master.mp3 import SNDFILE_NAMES
    from porchswing.audio.master.ogg import number_stream

    coding = file_format.coding[sound.bit_depth == 24]
    try:
        with soundfile.SoundFile(
            path, "w", sound.rate_hz, 2, subtype=coding, format=file_format.container
        ) as file:
            for tag, text in sound.tags.texts:
                setattr(file, SNDFILE_NAMES.get(tag, tag), text)
            for index in range(sound.blocks):
                samples = _samples(sound.make(index), file_format, sound.bit_depth)
                for start in range(0, samples.shape[0], _FRAMES_AT_ONCE):
                    file.write(samples[start : start + _FRAMES_AT_ONCE])
    except soundfile.LibsndfileError as error:
        raise OutputError(
            f"cannot write {file_format.suffix} at {sound.rate_hz} Hz: {error}"
        ) from error
    if file_format.container == "OGG":
        number_stream(path)


def _samples(block: Whole, file_format: FileFormat, bit_depth: int) -> Whole | NDArray[np.float32]:
    """Return whole numbers as libsndfile takes them for a format.

    A lossy encoder gets floats.
    """
    if file_format.has_bits:
        return block if bit_depth == 16 else block << 8
    return block.astype(np.float32) * np.float32(2.0 ** (1 - bit_depth))
