"""The file formats a take can be written in, and the tags its files carry.

A new format is a new row of :data:`FORMATS`. ``container`` and ``coding`` are libsndfile's names
(its documentation, "Supported formats"). MP3's rates are those of MPEG 1, 2 and 2.5 (ISO/IEC
11172-3, 13818-3).
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from functools import cache


@dataclass(frozen=True, slots=True)
class FileFormat:
    """One format: its file ``suffix`` without the dot, and how it is written.

    ``coding`` gives the coding for 16 and for 24 bits, the same one where bits mean nothing;
    ``rates_hz`` the sample rates it can have (empty: any). ``wav_share`` is about how large a
    recording is beside a WAV file of 16 bits (measured on our demo tunes).
    """

    suffix: str
    container: str = ""
    coding: tuple[str, str] = ("", "")
    rates_hz: tuple[int, ...] = ()
    wav_share: float = 0.0

    def bytes_per_s(self, rate_hz: int, bit_depth: int) -> float:
        """Return about how many bytes a second of a stereo recording takes."""
        return self.wav_share * rate_hz * (bit_depth if self.has_bits else 16) / 4

    @property
    def is_sound(self) -> bool:
        """Whether it holds a recording."""
        return bool(self.container)

    @property
    def has_bits(self) -> bool:
        """Whether 16 and 24 bits a sample differ in it."""
        return self.coding[0] != self.coding[1]


_MP3_RATES_HZ = (8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000)

FORMATS: tuple[FileFormat, ...] = (
    FileFormat("mid"),
    FileFormat("wav", "WAV", ("PCM_16", "PCM_24"), wav_share=1.0),
    FileFormat("flac", "FLAC", ("PCM_16", "PCM_24"), wav_share=0.48),
    FileFormat("mp3", "MP3", ("MPEG_LAYER_III",) * 2, _MP3_RATES_HZ, wav_share=0.12),
    FileFormat("ogg", "OGG", ("VORBIS",) * 2, wav_share=0.08),
)
"""Every format a take can be written in."""

BY_SUFFIX: dict[str, FileFormat] = {row.suffix: row for row in FORMATS}
ALL = tuple(BY_SUFFIX)
SOUND = tuple(row.suffix for row in FORMATS if row.is_sound)
WITH_BITS = tuple(row.suffix for row in FORMATS if row.has_bits)
WITH_BIT_RATE = ("mp3",)

DEFAULTS = ("mid", "wav")
"""What a folder gets by default."""


@cache
def has_lame() -> bool:
    """Return whether LAME (:mod:`lameenc`) is here; without it MP3 goes through libsndfile."""
    from importlib.util import find_spec

    return find_spec("lameenc") is not None


@dataclass(frozen=True, slots=True)
class Tags:
    """What a player shows of a recording; empty fields are not written."""

    title: str = ""
    artist: str = ""
    album: str = ""
    track_number: int | None = None

    @property
    def texts(self) -> tuple[tuple[str, str], ...]:
        """Name and text of every tag that is not empty."""
        return tuple(
            (k, str(value)) for k, value in asdict(self).items() if value not in ("", None)
        )


NO_TAGS = Tags()
