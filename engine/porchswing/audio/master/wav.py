"""WAV files of our own: the 44-byte header (RIFF, ``fmt ``, ``data``) and packed samples.

Integer PCM carries no time stamp, so the same samples are the same bytes. Microsoft &
IBM, *Multimedia Programming Interface and Data Specifications 1.0* (1991).
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

import numpy as np

from porchswing.errors import OutputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

HEADER_BYTES = 44
_LARGEST = 2**32 - 1 - 36


def wav_header(frames: int, rate_hz: int, bits: int, channels: int = 2) -> bytes:
    """Return the header of a PCM file of so many frames."""
    frame_bytes = channels * bits // 8
    size = frames * frame_bytes
    if size + (size & 1) > _LARGEST:
        raise OutputError(
            f"a WAV file holds at most 4 GiB; {frames / rate_hz / 3600:.1f} hours at "
            f"{rate_hz} Hz and {bits} bits need more: write FLAC instead"
        )
    head = struct.pack("<4sI4s", b"RIFF", 36 + size + (size & 1), b"WAVE")
    form = struct.pack(
        "<4sIHHIIHH", b"fmt ", 16, 1, channels, rate_hz, rate_hz * frame_bytes, frame_bytes, bits
    )
    return head + form + struct.pack("<4sI", b"data", size)


def pack(whole: NDArray[np.int16] | NDArray[np.int32]) -> memoryview:
    """Return samples as little-endian bytes: 16 bits as they are, int32 as 24 bits."""
    if whole.dtype == np.int16:
        return np.ascontiguousarray(whole, "<i2").reshape(-1).data.cast("B")
    parts = np.ascontiguousarray(whole, "<i4").view(np.uint8).reshape(-1, 4)
    return np.ascontiguousarray(parts[:, :3]).reshape(-1).data
