"""MP3 files, through LAME where its wheel is installed (:mod:`lameenc`), else through libsndfile.

Both hold the same encoder; libsndfile calls it so that it takes five times as long. LAME's
settings were chosen by measuring (DEVELOPERS.md, "What was measured"): nowhere up to 16 kHz
more noise than libsndfile's. For a constant rate under 256 kbit/s LAME itself takes up to 0.45 dB
off, as room for its own overshoot.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import IO, TYPE_CHECKING, Any

import numpy as np

from porchswing.audio.master.mp3_frames import (
    FrameCounter,
    empty_frame,
    gapless_frame,
    id3_tag,
    rates_kbps,
)
from porchswing.errors import OptionError
from porchswing.file_formats import NO_TAGS, Tags, has_lame

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Blocks = Iterable[NDArray[np.int16]]

LAME_QUALITY = 7
"""LAME's noise shaping, 0 best to 9 fastest."""

VARIABLE_QUALITY = 1
"""LAME's variable bit rate, 0 best to 9 smallest: about 160 kbit/s for a band."""

SNDFILE_COMPRESSION = 0.1
"""The same of libsndfile, 0 best to 1 smallest."""

SNDFILE_NAMES = {"track_number": "tracknumber"}
"""libsndfile's names of tags, where they differ from ours."""


def check_kbps(kbps: int, rate_hz: int) -> None:
    """Raise where no MP3 has a constant bit rate at a sample rate."""
    known = rates_kbps(rate_hz)
    if kbps not in known:
        listed = ", ".join(map(str, known))
        raise OptionError(f"bit rate at {rate_hz} Hz must be one of {listed} kbit/s, got {kbps}")


def write_mp3(
    file: IO[bytes],
    blocks: Blocks,
    rate_hz: int,
    *,
    channels: int = 2,
    kbps: int | None = None,
    tags: Tags = NO_TAGS,
) -> None:
    """Write samples of 16 bits, blocks of shape (frames, channels), as an MP3 file.

    ``kbps`` asks for a constant bit rate (see :func:`check_kbps`); without it the rate varies and
    the quality does not.
    """
    write = _write_through_lame if has_lame() else _write_through_sndfile
    write(file, blocks, rate_hz, channels, kbps, tags)


def mp3_bytes(samples: NDArray[np.float32], rate_hz: int, *, kbps: int | None = None) -> bytes:
    """Return mono samples, full scale 1.0, as an MP3 file."""
    file = io.BytesIO()
    whole = np.clip(np.rint(samples * np.float32(32767.0)), -32768, 32767).astype(np.int16)
    write_mp3(file, [whole.reshape(-1, 1)], rate_hz, channels=1, kbps=kbps)
    return file.getvalue()


def _write_through_lame(
    file: IO[bytes], blocks: Blocks, rate_hz: int, channels: int, kbps: int | None, tags: Tags
) -> None:
    """Encode with LAME and write the first frame, which it leaves to its caller, last."""
    encoder = _lame(rate_hz, channels, kbps)
    counter, samples, head_at = FrameCounter(), 0, 0
    file.write(id3_tag(tags))

    def take(piece: bytes) -> None:
        nonlocal head_at
        if not counter.first and piece:
            head_at = file.tell()
            file.write(empty_frame(piece)[0])
        counter.add(piece)
        file.write(piece)

    for block in blocks:
        samples += block.shape[0]
        take(bytes(encoder.encode(np.ascontiguousarray(block, "<i2").tobytes())))
    take(bytes(encoder.flush()))
    file.seek(head_at)
    file.write(gapless_frame(counter, samples, is_constant=kbps is not None))
    file.seek(0, io.SEEK_END)


def _lame(rate_hz: int, channels: int, kbps: int | None) -> Any:
    """Return an encoder at our settings."""
    import lameenc

    encoder = lameenc.Encoder()
    encoder.silence()
    encoder.set_in_sample_rate(rate_hz)
    encoder.set_out_sample_rate(rate_hz)
    encoder.set_channels(channels)
    encoder.set_quality(LAME_QUALITY)
    if kbps is None:
        encoder.set_vbr(lameenc.VBR_MTRH)
        encoder.set_vbr_quality(VARIABLE_QUALITY)
    else:
        encoder.set_bit_rate(kbps)
    return encoder


def _write_through_sndfile(
    file: IO[bytes], blocks: Blocks, rate_hz: int, channels: int, kbps: int | None, tags: Tags
) -> None:
    """Encode with libsndfile, in floats: from whole numbers it writes MP3 distorted."""
    import soundfile

    mode, compression = "VARIABLE", SNDFILE_COMPRESSION
    if kbps is not None:
        known = rates_kbps(rate_hz)
        mode, compression = "CONSTANT", (known[-1] - kbps) / (known[-1] - known[0])
    with soundfile.SoundFile(
        file, "w", rate_hz, channels, format="MP3", subtype="MPEG_LAYER_III",
        bitrate_mode=mode, compression_level=compression,
    ) as sound:  # fmt: skip
        for tag, text in tags.texts:
            setattr(sound, SNDFILE_NAMES.get(tag, tag), text)
        for block in blocks:
            sound.write(block.astype(np.float32) * np.float32(2.0**-15))
