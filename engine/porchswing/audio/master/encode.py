"""Sound files by suffix: our own WAV, MP3 through LAME, FLAC and Ogg Vorbis through libsndfile.

The same samples are the same bytes in all of them. WAV is the 44-byte header (RIFF, ``fmt ``,
``data``) and packed samples: Microsoft & IBM, *Multimedia Programming Interface and Data
Specifications 1.0* (1991). libsndfile numbers each Ogg stream at random, so ours gets a fixed
number: a page holds it at byte 14 and its checksum at byte 22, a CRC of 32 bits by the polynomial
04c11db7, most significant bit first, starting at 0 (RFC 3533, section 6).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from porchswing.errors import OptionError, OutputError
from porchswing.file_formats import BY_SUFFIX, NO_TAGS, SOUND, FileFormat, Tags

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from porchswing.options import SoundSettings

    Whole = NDArray[np.int16] | NDArray[np.int32]

_FRAMES_AT_ONCE = 32768
_LARGEST_WAV = 2**32 - 1 - 36
_INFO_NAMES = {"title": b"INAM", "artist": b"IART", "album": b"IPRD", "track_number": b"ITRK"}

OGG_SERIAL = 1
_OGG_HEAD_BYTES = 27


def check_writable(paths: Iterable[Path], sound: SoundSettings) -> None:
    """Raise unless sound can be written in the format of every path's suffix, at its rates."""
    for path in paths:
        file_format = sound_format(path)
        rates_hz = file_format.rates_hz
        if rates_hz and sound.rate_hz not in rates_hz:
            known = ", ".join(map(str, rates_hz))
            name = path.suffix[1:].upper()
            raise OptionError(f"rate of {name} must be one of {known} Hz, got {sound.rate_hz}")
        if sound.mp3_kbps is not None and file_format.container == "MP3":
            from porchswing.audio.master.mp3 import check_kbps

            check_kbps(sound.mp3_kbps, sound.rate_hz)


def sound_format(path: Path) -> FileFormat:
    """Return the format of a recording's path."""
    found = BY_SUFFIX.get(path.suffix.lower()[1:])
    if found is None or not found.is_sound:
        known = ", ".join(f".{word}" for word in SOUND)
        raise OptionError(f"suffix of {path.name!r} must be one of {known} for sound")
    return found


class Sound(NamedTuple):
    """A finished sound of so many ``frames``, its ``blocks`` made as they are asked for.

    They are whole numbers of the settings' bit depth, shape (frames, 2).
    """

    blocks: Iterable[Whole]
    frames: int
    settings: SoundSettings
    tags: Tags = NO_TAGS


def write_sound(path: Path, name: Path, sound: Sound) -> None:
    """Write one file to ``path``, a temporary name, in the format that ``name`` will have."""
    file_format, settings = sound_format(name), sound.settings
    if file_format.container == "WAV":
        _write_wav(path, sound)
    elif file_format.container == "MP3":
        from porchswing.audio.master.mp3 import write_mp3

        with path.open("w+b") as file:
            write_mp3(
                file,
                _blocks_of_16_bits(sound),
                settings.rate_hz,
                kbps=settings.mp3_kbps,
                tags=sound.tags,
            )
    else:
        _write_encoded(path, file_format, sound)


def _write_wav(path: Path, sound: Sound) -> None:
    """Write a WAV file."""
    info, settings = info_chunk(sound.tags), sound.settings
    head = wav_header(sound.frames, settings.rate_hz, settings.bit_depth, more_bytes=len(info))
    with path.open("wb") as file:
        file.write(head)
        for block in sound.blocks:
            file.write(_packed(block))
        file.write(info)


def wav_header(frames: int, rate_hz: int, bits: int, *, more_bytes: int = 0) -> bytes:
    """Return the header of a stereo PCM file; ``more_bytes`` follow its samples."""
    frame_bytes = 2 * bits // 8
    size = frames * frame_bytes
    if size + (size & 1) + more_bytes > _LARGEST_WAV:
        raise OutputError(
            f"a WAV file holds at most 4 GiB; {frames / rate_hz / 3600:.1f} hours at "
            f"{rate_hz} Hz and {bits} bits need more: write FLAC instead"
        )
    head = struct.pack("<4sI4s", b"RIFF", 36 + size + (size & 1) + more_bytes, b"WAVE")
    form = struct.pack(
        "<4sIHHIIHH", b"fmt ", 16, 1, 2, rate_hz, rate_hz * frame_bytes, frame_bytes, bits
    )
    return head + form + struct.pack("<4sI", b"data", size)


def info_chunk(tags: Tags) -> bytes:
    """Return the ``LIST`` chunk of type ``INFO`` that holds some tags, nothing for none.

    ``ITRK`` for the track's number is common practice, not in the standard; texts are UTF-8.
    """
    rows = b""
    for name, text in tags.texts:
        data = text.encode() + b"\0"
        rows += struct.pack("<4sI", _INFO_NAMES[name], len(data)) + data + b"\0" * (len(data) % 2)
    return struct.pack("<4sI4s", b"LIST", 4 + len(rows), b"INFO") + rows if rows else b""


def _packed(whole: Whole) -> memoryview:
    """Return samples as little-endian bytes: 16 bits as they are, int32 as 24 bits."""
    if whole.dtype == np.int16:
        return np.ascontiguousarray(whole, "<i2").reshape(-1).data.cast("B")
    parts = np.ascontiguousarray(whole, "<i4").view(np.uint8).reshape(-1, 4)
    return np.ascontiguousarray(parts[:, :3]).reshape(-1).data


def _blocks_of_16_bits(sound: Sound) -> Iterator[NDArray[np.int16]]:
    """Yield the blocks of a sound in order, 24 bits rounded to 16."""
    is_deep = sound.settings.bit_depth == 24
    for block in sound.blocks:
        whole = np.minimum((block + 128) >> 8, 32767) if is_deep else block
        yield whole.astype(np.int16, copy=False)


def _write_encoded(path: Path, file_format: FileFormat, sound: Sound) -> None:
    """Write a sound through libsndfile."""
    import soundfile

    from porchswing.audio.master.mp3 import SNDFILE_NAMES

    rate_hz, bit_depth = sound.settings.rate_hz, sound.settings.bit_depth
    coding = file_format.coding[bit_depth == 24]
    try:
        with soundfile.SoundFile(
            path, "w", rate_hz, 2, subtype=coding, format=file_format.container
        ) as file:
            for tag, text in sound.tags.texts:
                setattr(file, SNDFILE_NAMES.get(tag, tag), text)
            for block in sound.blocks:
                samples = _samples(block, file_format, bit_depth)
                for start in range(0, samples.shape[0], _FRAMES_AT_ONCE):
                    file.write(samples[start : start + _FRAMES_AT_ONCE])
    except soundfile.LibsndfileError as error:
        raise OutputError(f"cannot write {file_format.suffix} at {rate_hz} Hz: {error}") from error
    if file_format.container == "OGG":
        number_stream(path)


def _samples(block: Whole, file_format: FileFormat, bit_depth: int) -> Whole | NDArray[np.float32]:
    """Return whole numbers as libsndfile takes them for a format.

    A lossy encoder gets floats.
    """
    if file_format.has_bits:
        return block if bit_depth == 16 else block << 8
    return block.astype(np.float32) * np.float32(2.0 ** (1 - bit_depth))


def number_stream(path: Path, serial: int = OGG_SERIAL) -> None:
    """Give the one stream of an Ogg file a serial number."""
    with path.open("r+b") as file:
        while head := file.read(_OGG_HEAD_BYTES):
            start = file.tell() - _OGG_HEAD_BYTES
            sizes = file.read(head[26])
            page = bytearray(head + sizes + file.read(sum(sizes)))
            page[14:18] = struct.pack("<I", serial)
            page[22:26] = bytes(4)
            page[22:26] = struct.pack("<I", ogg_checksum(bytes(page)))
            file.seek(start)
            file.write(page)


def ogg_checksum(page: bytes) -> int:
    """Return the checksum of a page whose own is zero.

    ``zlib`` has the same polynomial, least significant bit first: every byte and the result
    are mirrored.
    """
    bits = np.unpackbits(np.frombuffer(page, np.uint8), bitorder="little")
    mirrored = zlib.crc32(np.packbits(bits).tobytes(), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{mirrored:032b}"[::-1], 2)
