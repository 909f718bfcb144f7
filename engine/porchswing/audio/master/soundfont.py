"""The other road to sound: a MIDI file through FluidSynth's library and a SoundFont.

Needs the optional extra ``soundfont`` (pyfluidsynth) and FluidSynth's library itself; our own
voices need neither. The result goes through the same meter, ceiling and dither as ours.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from porchswing.audio.master.audio_files import write_spool
from porchswing.audio.master.audio_report import AudioReport
from porchswing.audio.master.encode import check_writable
from porchswing.audio.master.mastering import Progress, spooled_blocks
from porchswing.audio.mix.mixdown import BLOCK_STEPS, TAIL_S
from porchswing.errors import OptionError, missing_extra
from porchswing.file_formats import NO_TAGS, Tags
from porchswing.options import DEFAULT_SOUND, SoundSettings
from porchswing.units import step_frames

if TYPE_CHECKING:
    from numpy.typing import NDArray

_GAIN = 0.4
"""FluidSynth's own gain: far from clipping its 16 bits with a whole band."""


def write_through_soundfont(
    midi: bytes,
    seconds: float,
    soundfont: Path,
    paths: Sequence[Path],
    sound: SoundSettings = DEFAULT_SOUND,
    *,
    tags: Tags = NO_TAGS,
    progress: Progress | None = None,
) -> AudioReport:
    """Play a Standard MIDI File through a SoundFont and write it in every format asked for.

    Parameters
    ----------
    midi, seconds
        The file's bytes, and where its music ends; the sound may ring on after that.
    soundfont
        An ``.sf2`` or ``.sf3`` file.
    paths, sound, tags, progress
        As in :func:`porchswing.audio.master.audio_files.write_files`.
    """
    check_writable(paths, sound)
    check_soundfont(soundfont)
    frames = round((seconds + TAIL_S) * sound.rate_hz)
    blocks = _played(midi, soundfont, frames, sound.rate_hz)
    with spooled_blocks(
        blocks, frames, sound.rate_hz, paths[0].parent, progress, fade_s=sound.fade_s
    ) as spool:
        return write_spool(spool, paths, sound, tags=tags)


def check_soundfont(path: Path) -> None:
    """Raise unless the file is there and is a SoundFont (RIFF of the form ``sfbk``)."""
    try:
        with path.open("rb") as file:
            head = file.read(12)
    except OSError as error:
        raise OptionError(f"cannot read the SoundFont {path}: {error.strerror}") from error
    if head[:4] != b"RIFF" or head[8:] != b"sfbk":
        raise OptionError(f"{path} is not a SoundFont: such files start with RIFF and sfbk")


def _played(
    midi: bytes, soundfont: Path, frames: int, rate_hz: int
) -> Iterator[NDArray[np.float32]]:
    """Yield what FluidSynth plays, in blocks of shape (2, frames)."""
    synth = _synth(rate_hz)
    try:
        if synth.sfload(str(soundfont)) == -1:
            raise OptionError(f"FluidSynth cannot load the SoundFont {soundfont}")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "take.mid"
            path.write_bytes(midi)
            if synth.play_midi_file(str(path)) == -1:
                raise OptionError("FluidSynth cannot play this MIDI")
            step = BLOCK_STEPS * step_frames(rate_hz)
            for start in range(0, frames, step):
                whole = synth.get_samples(min(step, frames - start)).reshape(-1, 2)
                yield np.ascontiguousarray(whole.T, np.float32) * np.float32(2.0**-15)
    finally:
        synth.delete()


def _synth(rate_hz: int) -> Any:
    """Return FluidSynth at a rate, its player led by the samples it makes."""
    try:
        with redirect_stdout(StringIO()):  # where CI is set it prints which library it found
            import fluidsynth
    except ImportError as error:
        also = "; and FluidSynth's library, on Debian: apt install libfluidsynth3"
        raise missing_extra("rendering through a SoundFont", "soundfont", also) from error
    synth = fluidsynth.Synth(gain=_GAIN, samplerate=float(rate_hz))
    synth.setting("player.timing-source", "sample")
    return synth
