"""A film as one transparent video: ProRes 4444, every distinct picture coded once by ffmpeg.

Of what was measured for three minutes of 1920 × 1080: VP9 with alpha takes 1.3 s of processor
time a second of film; coding every frame as ProRes 75 ms a frame, seven minutes. A picture of
ours lasts a tenth of a second and more and every ProRes frame is whole in itself, so the frames
of a picture are copies, in a movie that we write ourselves.

The plate's colour fills the whole picture below the alpha, which is the same in every frame: no
dark seam at the plate's edge in an editor that reads the alpha as straight.

Format: QuickTime File Format Specification (Apple, 2001 and later): ``ftyp``, ``mdat`` and
``moov`` with one video track of a constant rate. Every frame is a whole picture and a sample of
its own, a key frame, so every reader can jump to it.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from fractions import Fraction
from itertools import accumulate
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

from porchswing.errors import OutputError
from porchswing.outputs.files import cannot_write
from porchswing.pages.film.pictures import FilmLayout, distinct_pictures, painted, plate_alone
from porchswing.pages.film.scenes import Film

FFMPEG = "ffmpeg"

QUALITY = 4
"""The coder's quantiser: at 4 a flat colour comes back within two of 255."""

_FILTER = (
    "[1]alphaextract[plate];[0]format=rgb24[seen];[seen][plate]alphamerge,"
    "scale=out_color_matrix=bt709:out_range=tv,format=yuva444p10le,"
    "setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709"
)


def has_ffmpeg() -> bool:
    """Return whether there is an ffmpeg to make a video with."""
    return shutil.which(FFMPEG) is not None


def check_video() -> None:
    """Raise where there is no ffmpeg to make a video with."""
    if not has_ffmpeg():
        raise OutputError(
            f"a video is made by {FFMPEG}, and there is none here; install it, or name a folder: "
            "it gets the pictures, numbered by their frame"
        )


def write_video(
    path: Path, film: Film, layout: FilmLayout, on_progress: Callable[[float], None]
) -> None:
    """Write a film to a path.

    Raises
    ------
    OutputError
        Where there is no ffmpeg, or it fails.
    """
    check_video()
    pictures, order = distinct_pictures(film)
    coded = _coded(pictures, layout, on_progress)
    runs = [(number, shot.frames) for number, shot in zip(order, film.shots, strict=True)]
    try:
        with path.open("wb") as stream:
            write_movie(stream, coded, runs, film.rate, (layout.width, layout.height))
    except OSError as error:
        raise cannot_write(path, error) from error


def _coded(
    pictures: Sequence[str], layout: FilmLayout, on_progress: Callable[[float], None]
) -> list[bytes]:
    """Return pictures as ProRes frames; they are set while those before are coded."""
    with TemporaryDirectory() as folder:
        plate, out = Path(folder) / "plate.png", Path(folder) / "frames"
        plate.write_bytes(plate_alone(layout))
        words = [
            *(FFMPEG, "-v", "error", "-nostats", "-f", "image2pipe", "-c:v", "png", "-i", "pipe:0"),
            *("-i", str(plate), "-filter_complex", _FILTER, "-c:v", "prores_ks"),
            *("-profile:v", "4444", "-alpha_bits", "8", "-qscale:v", str(QUALITY)),
            *("-fflags", "+bitexact", "-flags:v", "+bitexact", "-f", "rawvideo", str(out)),
        ]
        log = Path(folder) / "log"
        with (
            log.open("wb") as said,
            suppress(BrokenPipeError),  # it failed, and says why
            subprocess.Popen(words, stdin=subprocess.PIPE, stderr=said) as coder,  # noqa: S603 - ours
        ):
            assert coder.stdin is not None
            for done, picture in enumerate(painted(pictures, layout, is_filled=True), 1):
                coder.stdin.write(picture)
                on_progress(done / len(pictures))
        told = " ".join(log.read_text("utf-8", "replace").split())[:300]
        frames = list(_frames(out.read_bytes())) if out.is_file() else []
    if coder.returncode or len(frames) != len(pictures):
        raise OutputError(f"{FFMPEG} made no video: {told or f'exit code {coder.returncode}'}")
    return frames


def _frames(coded: bytes) -> Iterator[bytes]:
    """Yield ProRes frames, each of which begins with its size (SMPTE RDD 36, section 5.1)."""
    at = 0
    while at < len(coded):
        (size,) = struct.unpack_from(">I", coded, at)
        yield coded[at : at + size]
        at += size


# --- the movie's file ---------------------------------------------------------------------------

PRORES_4444 = b"ap4h"
"""What the format calls ProRes 4444."""

FRAMES_A_CHUNK = 30
UNITY = struct.pack(">9i", 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000)
"""The matrix that leaves a picture as it is."""

LARGE_ATOM = 16
"""Size of an atom's head whose length has 64 bits."""

BT_709 = 1
"""Colours, transfer and matrix of high definition, in ``colr`` (ITU-T H.273, table 2 to 4)."""


def write_movie(
    stream: IO[bytes],
    pictures: Sequence[bytes],
    runs: Sequence[tuple[int, int]],
    rate: Fraction,
    size: tuple[int, int],
) -> None:
    """Write a movie of ProRes 4444 pictures.

    Parameters
    ----------
    pictures
        Coded pictures.
    runs
        The number of a picture and of its frames, in order.
    rate
        Frames a second.
    size
        Width and height in pixels.
    """
    sizes = [len(pictures[number]) for number, frames in runs for _ in range(frames)]
    head = _atom(b"ftyp", b"qt  ", struct.pack(">I", 0x200), b"qt  ")
    stream.write(head)
    stream.write(struct.pack(">I4sQ", 1, b"mdat", LARGE_ATOM + sum(sizes)))
    for number, frames in runs:
        for _ in range(frames):
            stream.write(pictures[number])
    stream.write(_movie(sizes, len(head) + LARGE_ATOM, rate, size))


def _atom(kind: bytes, *parts: bytes) -> bytes:
    body = b"".join(parts)
    return struct.pack(">I4s", 8 + len(body), kind) + body


def _movie(sizes: list[int], first: int, rate: Fraction, size: tuple[int, int]) -> bytes:
    scale, step = rate.numerator, rate.denominator
    length = len(sizes) * step
    width, height = (side << 16 for side in size)
    movie = struct.pack(">5I", 0, 0, 0, scale, length)
    movie += struct.pack(">IH10x", 0x10000, 0x100) + UNITY + struct.pack(">24xI", 2)
    track = struct.pack(">6I8x4H", 0xF, 0, 0, 1, 0, length, 0, 0, 0, 0)
    track += UNITY + struct.pack(">2I", width, height)
    media = _atom(
        b"mdia",
        _atom(b"mdhd", struct.pack(">5I2H", 0, 0, 0, scale, length, 0x7FFF, 0)),
        _handler(b"mhlr", b"vide"),
        _atom(
            b"minf",
            _atom(b"vmhd", struct.pack(">I4H", 1, 0, 0, 0, 0)),
            _handler(b"dhlr", b"url "),
            _atom(b"dinf", _atom(b"dref", struct.pack(">2I", 0, 1), _atom(b"url ", _FLAG_HERE))),
            _atom(b"stbl", *_samples(sizes, first, step, size)),
        ),
    )
    edit = _atom(b"edts", _atom(b"elst", struct.pack(">5I", 0, 1, length, 0, 0x10000)))
    return _atom(b"moov", _atom(b"mvhd", movie), _atom(b"trak", _atom(b"tkhd", track), edit, media))


_FLAG_HERE = struct.pack(">I", 1)
"""The data lie in this file."""


def _handler(component: bytes, kind: bytes) -> bytes:
    return _atom(b"hdlr", struct.pack(">I4s4s12x", 0, component, kind), b"\0")


def _samples(sizes: list[int], first: int, step: int, size: tuple[int, int]) -> Iterator[bytes]:
    """Yield the tables: what the pictures are, how long each lasts, and where it lies."""
    shown = _atom(
        PRORES_4444,
        struct.pack(">6xH", 1),
        struct.pack(">2H4s2I2H", 0, 0, b"pswg", 0, 0x200, *size),
        struct.pack(">3IH", 72 << 16, 72 << 16, 0, 1),
        struct.pack(">32pHh", b"ProRes 4444", 32, -1),
        _atom(b"fiel", struct.pack(">2B", 1, 0)),
        _atom(b"colr", b"nclc", struct.pack(">3H", BT_709, BT_709, BT_709)),
        _atom(b"pasp", struct.pack(">2I", 1, 1)),
    )
    yield _atom(b"stsd", struct.pack(">2I", 0, 1), shown)
    yield _atom(b"stts", struct.pack(">4I", 0, 1, len(sizes), step))
    offsets = list(accumulate(sizes, initial=first))[:-1:FRAMES_A_CHUNK]
    rest = len(sizes) % FRAMES_A_CHUNK
    rows = [(1, FRAMES_A_CHUNK, 1)] if len(sizes) >= FRAMES_A_CHUNK else []
    if rest:
        rows.append((len(offsets), rest, 1))
    table = b"".join(struct.pack(">3I", *row) for row in rows)
    yield _atom(b"stsc", struct.pack(">2I", 0, len(rows)), table)
    yield _atom(b"stsz", struct.pack(f">3I{len(sizes)}I", 0, 0, len(sizes), *sizes))
    yield _atom(b"co64", struct.pack(f">2I{len(offsets)}Q", 0, len(offsets), *offsets))
