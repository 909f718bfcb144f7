"""Ogg files with the same bytes every time: a fixed serial number in place of a random one.

libsndfile numbers each Ogg stream at random. A page holds the number at byte 14 and its checksum
at byte 22; the checksum is a CRC of 32 bits by the polynomial 04c11db7, most significant bit
first, starting at 0 (RFC 3533, section 6).
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

SERIAL = 1
_HEAD_BYTES = 27
_MIRRORED = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


def number_stream(path: Path, serial: int = SERIAL) -> None:
    """Give the one stream of an Ogg file a serial number."""
    with path.open("r+b") as file:
        while head := file.read(_HEAD_BYTES):
            start = file.tell() - _HEAD_BYTES
            sizes = file.read(head[26])
            page = bytearray(head + sizes + file.read(sum(sizes)))
            page[14:18] = struct.pack("<I", serial)
            page[22:26] = bytes(4)
            page[22:26] = struct.pack("<I", checksum(bytes(page)))
            file.seek(start)
            file.write(page)


def checksum(page: bytes) -> int:
    """Return the checksum of a page whose own is zero.

    ``zlib`` has the same polynomial, least significant bit first: every byte and the result
    are mirrored.
    """
    mirrored = zlib.crc32(page.translate(_MIRRORED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{mirrored:032b}"[::-1], 2)
