"""The frames of an MP3 stream, and what is written before them: tags and the gapless header.

A frame's header is that of ISO/IEC 11172-3 (2.4.1.3) and 13818-3. The first frame of a file is
silent and holds what players look for there: how many frames and bytes follow, where each
hundredth of the playing time lies, and how many samples the encoder added before and after the
sound (the "Xing" header and LAME's extension of it, as LAME's own ``VbrTag.c`` lays them out).
Without it a player is silent for the first 25 ms and guesses the length. Tags are ID3v2.3.
"""

from __future__ import annotations

import struct
from typing import NamedTuple

from porchswing.file_formats import Tags

ENCODER_DELAY = 576
"""Samples that LAME puts before the sound; a decoder adds 529 of its own."""

LAYER_III = 0b01
_MPEG_1, _MPEG_2, _MPEG_2_5 = 0b11, 0b10, 0b00
_RATES_HZ = {
    _MPEG_1: (44100, 48000, 32000),
    _MPEG_2: (22050, 24000, 16000),
    _MPEG_2_5: (11025, 12000, 8000),
}
_KBPS_MPEG_1 = (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320)
_KBPS_MPEG_2 = (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160)
_MONO = 0b11
_TAG_BYTES = 156
"""The header after the side information: its name, 116 bytes of Xing's, 36 of LAME's."""

_FLAGS = 0b1111  # frames, bytes, places and quality are all there
_SEEK_POINTS = 100
_FRAME_NAMES = {"title": b"TIT2", "artist": b"TPE1", "album": b"TALB", "track_number": b"TRCK"}


class FrameHeader(NamedTuple):
    """The four bytes at the head of a frame."""

    version: int
    kbps: int
    rate_hz: int
    is_padded: bool
    is_mono: bool

    @property
    def samples(self) -> int:
        """Samples of each channel in a frame."""
        return 1152 if self.version == _MPEG_1 else 576

    @property
    def size_bytes(self) -> int:
        """Length of the frame, its header included."""
        return self.samples // 8 * self.kbps * 1000 // self.rate_hz + self.is_padded

    @property
    def side_bytes(self) -> int:
        """Length of the side information after the header."""
        if self.version == _MPEG_1:
            return 17 if self.is_mono else 32
        return 9 if self.is_mono else 17


def rates_kbps(rate_hz: int) -> tuple[int, ...]:
    """Return the bit rates that a frame can have at a sample rate."""
    version = next(version for version, rates in _RATES_HZ.items() if rate_hz in rates)
    if version == _MPEG_2_5:
        return _KBPS_MPEG_2[1:9]  # decoders need not read more
    return (_KBPS_MPEG_1 if version == _MPEG_1 else _KBPS_MPEG_2)[1:]


def read_header(data: bytes | bytearray | memoryview, at: int) -> FrameHeader:
    """Return the frame header at a place of a stream."""
    word = int.from_bytes(data[at : at + 4], "big")
    version, layer = word >> 19 & 0b11, word >> 17 & 0b11
    if word >> 21 != 0x7FF or layer != LAYER_III or version not in _RATES_HZ:
        raise ValueError(f"no MPEG frame of layer III at byte {at}")
    table = _KBPS_MPEG_1 if version == _MPEG_1 else _KBPS_MPEG_2
    return FrameHeader(
        version,
        table[word >> 12 & 0b1111],
        _RATES_HZ[version][word >> 10 & 0b11],
        bool(word >> 9 & 1),
        word >> 6 & 0b11 == _MONO,
    )


class FrameCounter:
    """Where the frames of a stream begin, read as it is written, in pieces of any length."""

    def __init__(self) -> None:
        self.first = b""
        self.size_bytes = 0
        self.starts: list[int] = []
        self._next = 0
        self._rest = b""

    def add(self, piece: bytes) -> None:
        """Read the next piece of the stream."""
        data = self._rest + piece
        origin = self.size_bytes - len(self._rest)
        self.first = self.first or data[:4]
        self.size_bytes += len(piece)
        while self._next + 4 <= self.size_bytes:
            self.starts.append(self._next)
            self._next += read_header(data, self._next - origin).size_bytes
        kept = min(self._next - origin, len(data))
        self._rest = data[kept:]


def gapless_frame(counter: FrameCounter, sound_samples: int, *, is_constant: bool) -> bytes:
    """Return the first frame of a file: silent, with what players need about the rest."""
    header = read_header(counter.first, 0)
    frame, inside = empty_frame(counter.first)
    frames, size = len(counter.starts), len(frame) + counter.size_bytes
    padding = max(0, frames * header.samples - ENCODER_DELAY - sound_samples)
    places = (counter.starts[frames * point // _SEEK_POINTS] for point in range(_SEEK_POINTS))
    head = struct.pack(">4sIII", b"Info" if is_constant else b"Xing", _FLAGS, frames, size)
    head += bytes(min(255, (len(frame) + place) * 256 // size) for place in places)
    head += struct.pack(">I", 100)
    head += b"LAME3.100" + bytes([1 if is_constant else 4]) + bytes(11)
    head += (ENCODER_DELAY << 12 | min(padding, 0xFFF)).to_bytes(3, "big")
    head += bytes(4) + struct.pack(">I", size) + bytes(2)
    end = inside + len(head)
    frame[inside:end] = head
    frame[end : end + 2] = crc16(bytes(frame[:end])).to_bytes(2, "big")
    return bytes(frame)


def empty_frame(first: bytes) -> tuple[bytearray, int]:
    """Return a silent frame like the first one of a stream, and where its data begins.

    It has the least bit rate at which the gapless header fits.
    """
    header = read_header(first, 0)
    table = _KBPS_MPEG_1 if header.version == _MPEG_1 else _KBPS_MPEG_2
    inside = 4 + header.side_bytes
    for number, kbps in enumerate(table[1:], start=1):
        size = header._replace(kbps=kbps, is_padded=False).size_bytes
        if size >= inside + _TAG_BYTES:
            frame = bytearray(size)
            frame[:4] = first[:4]
            frame[1] |= 1  # no checksum
            frame[2] = number << 4 | frame[2] & 0b1100
            return frame, inside
    raise AssertionError("every rate has a frame that holds the header")


def id3_tag(tags: Tags) -> bytes:
    """Return the ID3v2.3 tag of a recording, nothing for none."""
    rows = b"".join(_id3_frame(name, text) for name, text in tags.texts)
    if not rows:
        return b""
    size = bytes(len(rows) >> shift & 0x7F for shift in (21, 14, 7, 0))
    return b"ID3\x03\x00\x00" + size + rows


def _id3_frame(name: str, text: str) -> bytes:
    """Return one text: Latin-1 where that spells it, else UTF-16 with its byte order mark."""
    try:
        data = b"\x00" + text.encode("latin-1")
    except UnicodeEncodeError:
        data = b"\x01\xff\xfe" + text.encode("utf-16-le")
    return _FRAME_NAMES[name] + struct.pack(">IH", len(data), 0) + data


def crc16(data: bytes) -> int:
    """Return the checksum of a gapless header: 16 bits by x^16 + x^15 + x^2 + 1, mirrored.

    >>> hex(crc16(b"123456789"))
    '0xbb3d'
    """
    checksum = 0
    for byte in data:
        checksum ^= byte
        for _ in range(8):
            checksum = checksum >> 1 ^ (0xA001 if checksum & 1 else 0)
    return checksum
