"""A film as one transparent video: ProRes 4444, every distinct picture coded once by ffmpeg.

Of what was measured for three minutes of 1920 × 1080: VP9 with alpha takes 1.3 s of processor
time a second of film; coding every frame as ProRes 75 ms a frame, seven minutes. A picture of
ours lasts a tenth of a second and more and every ProRes frame is whole in itself, so the frames
of a picture are copies, written by :mod:`porchswing.pages.film.quicktime`.

The plate's colour fills the whole picture below the alpha, which is the same in every frame: no
dark seam at the plate's edge in an editor that reads the alpha as straight.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from porchswing.errors import OutputError
from porchswing.outputs.files import cannot_write
from porchswing.pages.film.layouts import FilmLayout
from porchswing.pages.film.pictures import distinct_pictures, painted, plate_alone
from porchswing.pages.film.quicktime import write_movie
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
