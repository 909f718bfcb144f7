"""WAV files of our own: the 44-byte header (RIFF, ``fmt ``, ``data``) and packed samples.

Integer PCM carries no time stamp, so the same samples are the same bytes. Microsoft &
IBM, *Multimedia Programming Interface and Data Specifications 1.0* (1991).
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

import numpy as np

from porchswing.errors import OutputError
from porchswing.file_formats import Tags

if TYPE_CHECKING:
    from numpy.typing import NDArray

_LARGEST = 2**32 - 1 - 36
_INFO_NAMES = {"title": b"INAM", "artist": b"IART", "album": b"IPRD", "track_number": b"ITRK"}


def wav_header(frames: int, rate_hz: int, bits: int, *, more_bytes: int = 0) -> bytes:
    """Return the header of a stereo PCM file; ``more_bytes`` follow its samples."""
    frame_bytes = 2 * bits // 8
    size = frames * frame_bytes
    if size + (size & 1) + more_bytes > _LARGEST:
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


def pack(whole: NDArray[np.int16] | NDArray[np.int32]) -> memoryview:
    """Return samples as little-endian bytes: 16 bits as they are, int32 as 24 bits."""
    if whole.dtype == np.int16:
        return np.ascontiguousarray(whole, "<i2").reshape(-1).data.cast("B")
    parts = np.ascontiguousarray(whole, "<i4").view(np.uint8).reshape(-1, 4)
    return np.ascontiguousarray(parts[:, :3]).reshape(-1).data
