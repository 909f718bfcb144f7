"""Sound files by suffix: our own WAV, and FLAC, Ogg Vorbis and MP3 through libsndfile."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.audio.cores.shares import run_shares
from porchswing.audio.master.wav import HEADER_BYTES, pack, wav_header
from porchswing.errors import OptionError, OutputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Whole = NDArray[np.int16] | NDArray[np.int32]

SUFFIXES = (".wav", ".flac", ".ogg", ".mp3")
BIT_DEPTHS = (16, 24)

_FORMATS = {
    ".flac": ("FLAC", {16: "PCM_16", 24: "PCM_24"}),
    ".ogg": ("OGG", {16: "VORBIS", 24: "VORBIS"}),
    ".mp3": ("MP3", {16: "MPEG_LAYER_III", 24: "MPEG_LAYER_III"}),
}
_MP3_RATES_HZ = (8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000)
_FRAMES_AT_ONCE = 32768


def check_format(path: Path, rate_hz: int, bit_depth: int) -> None:
    """Raise unless the suffix, rate and bit depth can be written."""
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise OptionError(
            f"cannot write sound as {path.name!r}: the suffix must be one of {', '.join(SUFFIXES)}"
        )
    if bit_depth not in BIT_DEPTHS:
        raise OptionError(f"bit depth must be 16 or 24, got {bit_depth}")
    if suffix == ".mp3" and rate_hz not in _MP3_RATES_HZ:
        raise OptionError(f"MP3 knows no rate of {rate_hz} Hz; use 44100 or 48000")


class Sound(NamedTuple):
    """A finished sound: ``blocks`` of ``block_frames`` (the last one shorter), made on demand.

    ``make`` returns a block as whole numbers of ``bit_depth``, shape (frames, 2); blocks may be
    asked for in any order and by several threads or processes.
    """

    make: Callable[[int], Whole]
    blocks: int
    block_frames: int
    frames: int
    rate_hz: int
    bit_depth: int


def write_sound(path: Path, suffix: str, sound: Sound, threads: int = 1) -> None:
    """Write one file in the format of ``suffix`` (``path`` may be a temporary name)."""
    if suffix == ".wav":
        _write_wav(path, sound, threads)
    else:
        _write_encoded(path, suffix, sound)


def _write_wav(path: Path, sound: Sound, threads: int) -> None:
    """Write a WAV file, in contiguous shares of its blocks."""
    path.write_bytes(wav_header(sound.frames, sound.rate_hz, sound.bit_depth))
    shares = max(1, min(threads, sound.blocks))
    block_bytes = sound.block_frames * 2 * sound.bit_depth // 8

    def work(share: int) -> None:
        first, last = (sound.blocks * end // shares for end in (share, share + 1))
        with path.open("r+b") as file:
            file.seek(HEADER_BYTES + first * block_bytes)
            for index in range(first, last):
                file.write(pack(sound.make(index)))

    run_shares(work, shares)


def _write_encoded(path: Path, suffix: str, sound: Sound) -> None:
    """Write a sound through libsndfile, in the format of ``suffix``."""
    import soundfile

    name, subtypes = _FORMATS[suffix]
    try:
        with soundfile.SoundFile(
            path, "w", sound.rate_hz, 2, subtype=subtypes[sound.bit_depth], format=name
        ) as file:
            for index in range(sound.blocks):
                samples = _samples(sound.make(index), suffix, sound.bit_depth)
                for start in range(0, samples.shape[0], _FRAMES_AT_ONCE):
                    file.write(samples[start : start + _FRAMES_AT_ONCE])
    except soundfile.LibsndfileError as error:
        raise OutputError(f"cannot write {suffix[1:]} at {sound.rate_hz} Hz: {error}") from error


def _samples(block: Whole, suffix: str, bit_depth: int) -> Whole | NDArray[np.float32]:
    """Return whole numbers as libsndfile wants them for a format.

    The lossy encoders get floats: libsndfile 1.2.2 writes MP3 from 16-bit integers some 10 dB
    too loud and distorted.
    """
    if suffix == ".flac":
        return block if bit_depth == 16 else block << 8
    return block.astype(np.float32) * np.float32(2.0 ** (1 - bit_depth))
