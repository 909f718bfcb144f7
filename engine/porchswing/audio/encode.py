"""Sound files by suffix: our own WAV, and FLAC, Ogg Vorbis and MP3 through libsndfile."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from porchswing.audio.wav import pack, wav_header
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


def write_wav(
    path: Path, blocks: Iterable[Whole], frames: int, rate_hz: int, bit_depth: int
) -> None:
    """Write blocks of whole numbers, shape (frames, 2), as a WAV file."""
    with path.open("wb") as file:
        file.write(wav_header(frames, rate_hz, bit_depth))
        for block in blocks:
            file.write(pack(block))


def write_encoded(
    path: Path, suffix: str, blocks: Iterable[Whole], rate_hz: int, bit_depth: int
) -> None:
    """Write blocks of whole numbers through libsndfile, in the format of ``suffix``."""
    import soundfile

    name, subtypes = _FORMATS[suffix]
    try:
        with soundfile.SoundFile(
            path, "w", rate_hz, 2, subtype=subtypes[bit_depth], format=name
        ) as file:
            for block in blocks:
                samples = _samples(block, suffix, bit_depth)
                for start in range(0, samples.shape[0], _FRAMES_AT_ONCE):
                    file.write(samples[start : start + _FRAMES_AT_ONCE])
    except soundfile.LibsndfileError as error:
        raise OutputError(f"cannot write {suffix[1:]} at {rate_hz} Hz: {error}") from error


def _samples(block: Whole, suffix: str, bit_depth: int) -> Whole | NDArray[np.float32]:
    """Return whole numbers as libsndfile wants them for a format.

    The lossy encoders get floats: libsndfile 1.2.2 writes MP3 from 16-bit integers some 10 dB
    too loud and distorted.
    """
    if suffix == ".flac":
        return block if bit_depth == 16 else block << 8
    return block.astype(np.float32) * np.float32(2.0 ** (1 - bit_depth))


def write_sound(
    path: Path,
    suffix: str,
    blocks: Callable[[], Iterable[Whole]],
    frames: int,
    rate_hz: int,
    bit_depth: int,
) -> None:
    """Write one file in the format of ``suffix`` (``path`` may be a temporary name)."""
    if suffix == ".wav":
        write_wav(path, blocks(), frames, rate_hz, bit_depth)
    else:
        write_encoded(path, suffix, blocks(), rate_hz, bit_depth)
