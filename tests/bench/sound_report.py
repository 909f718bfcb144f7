"""A page of pictures and figures about our sound, next to FluidSynth with FluidR3.

For every demo: the spectrogram and short-term loudness of the mix, and for every part by itself
its octave-band balance and loudness beside FluidSynth's rendering of the same MIDI (reverb and
chorus off). For single notes: centroid and level over time, and the decay of the first partials.

Run from the checkout: ``python tests/bench/sound_report.py -o FOLDER``: writes FOLDER/sound.html
and prints the tables. Needs matplotlib, the ``fluidsynth`` program and FluidR3.
"""

from __future__ import annotations

import argparse
import base64
import io
import subprocess
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from porchswing.audio.master.loudness import OFFSET_LUFS, integrated_lufs, step_energies
from porchswing.audio.master.true_peak import planar_of, true_peak
from porchswing.audio.mix.mixdown import render_blocks
from porchswing.audio.synth import pluck
from porchswing.audio.synth.voices import PLUCKED
from porchswing.chart.language.reader import read_chart
from porchswing.midi.smf import midi_bytes
from porchswing.options import Choices
from porchswing.performance.model import Note, PartPerformance, Performance, TempoEvent
from porchswing.take import take_from_chart

ROOT = Path(__file__).resolve().parents[2]
SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
RATE_HZ = 44100
BANDS_HZ = (31.25, 62.5, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
NOTES = {
    "ukulele": ((60, 3, 0), (64, 2, 0), (69, 1, 0), (67, 4, 0), (76, 1, 7), (81, 1, 12)),
    "bass": ((28, 4, 0), (33, 3, 0), (40, 2, 2), (43, 1, 0)),
}


def pyplot() -> Any:
    """Return matplotlib's drawing, loaded for who draws: tests use the figures alone."""
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib import pyplot

    return pyplot


def rendered(take: Performance) -> np.ndarray:
    """Return a performance as our samples."""
    return np.concatenate(list(render_blocks(take, RATE_HZ)))


def through_fluidsynth(take: Performance) -> np.ndarray:
    """Return the same performance through FluidSynth, dry."""
    with tempfile.TemporaryDirectory() as folder:
        midi, wav = Path(folder) / "a.mid", Path(folder) / "a.wav"
        midi.write_bytes(midi_bytes(take))
        command = ["fluidsynth", "-ni", "-R", "0", "-C", "0", "-g", "0.6", "-r", str(RATE_HZ)]
        subprocess.run([*command, "-F", wav, SOUNDFONT, midi], check=True, capture_output=True)
        return soundfile.read(wav, dtype="float32")[0]


def power(sound: np.ndarray, size: int = 8192) -> np.ndarray:
    """Return the mean power spectrum of the middle of both channels."""
    mono = sound.mean(axis=1)
    frames = np.lib.stride_tricks.sliding_window_view(mono, size)[:: size // 2]
    return np.mean(np.abs(np.fft.rfft(frames * np.hanning(size))) ** 2, axis=0)


def band_levels(sound: np.ndarray) -> np.ndarray:
    """Return each octave band's level in dB under the whole."""
    spectrum = power(sound)
    hz = np.fft.rfftfreq(2 * (spectrum.size - 1), 1 / RATE_HZ)
    inside = [(hz >= band / 2**0.5) & (hz < band * 2**0.5) for band in BANDS_HZ]
    return 10 * np.log10([spectrum[one].sum() / spectrum.sum() + 1e-12 for one in inside])


def single_notes(instrument: str, part: str, velocity: int = 80) -> Performance:
    """Return notes of one instrument, two seconds apart."""
    notes = [
        Note(3840 * i, 3840 * i + 2880, 2.0 * i, 2.0 * i + 1.5, pitch, velocity, string, fret)
        for i, (pitch, string, fret) in enumerate(NOTES[instrument])
    ]
    end = len(notes)
    return Performance(
        "notes", (PartPerformance(part, instrument, tuple(notes)),),
        (TempoEvent(0, 500_000, 0.0),), (), 3840 * end, 2.0 * end,
    )  # fmt: skip


def centroid_hz(sound: np.ndarray) -> float:
    """Return the centre of gravity of the magnitudes of a stretch of one channel."""
    size = np.abs(np.fft.rfft(sound * np.hanning(sound.size)))
    return float((np.fft.rfftfreq(sound.size, 1 / RATE_HZ) * size).sum() / max(size.sum(), 1e-12))


def note_rows(sound: np.ndarray, count: int) -> list[tuple[float, ...]]:
    """Return centroids at 0 and 0.6 s and levels at 0.3 and 0.9 s under the start."""
    rows = []
    for note in range(count):
        one = sound[round(2 * note * RATE_HZ) : round((2 * note + 2) * RATE_HZ)].mean(axis=1)

        def stretch(start_s: float, one: np.ndarray = one) -> np.ndarray:
            return one[round(start_s * RATE_HZ) : round((start_s + 0.1) * RATE_HZ)]

        def level_db(start_s: float, stretch=stretch) -> float:
            return 10 * np.log10(np.mean(stretch(start_s) ** 2) + 1e-14)

        start = level_db(0.02)
        rows.append(
            (centroid_hz(stretch(0.0)), centroid_hz(stretch(0.6)),
             level_db(0.3) - start, level_db(0.9) - start)
        )  # fmt: skip
    return rows


class Page:
    """An HTML page under construction."""

    def __init__(self) -> None:
        self.parts = ["<!doctype html><meta charset='utf-8'><title>porchswing: sound</title>",
                      "<style>body{font:15px sans-serif;max-width:70em;margin:2em auto}"
                      "pre{background:#f4f0e8;padding:1em}img{max-width:100%}</style>"]  # fmt: skip

    def heading(self, text: str) -> None:
        """Add a heading."""
        print(f"\n== {text}")
        self.parts.append(f"<h2>{text}</h2>")

    def table(self, text: str) -> None:
        """Add figures, on the page and in the terminal."""
        print(text)
        self.parts.append(f"<pre>{text}</pre>")

    def picture(self, figure) -> None:
        """Add a picture."""
        data = io.BytesIO()
        figure.tight_layout()
        figure.savefig(data, format="png", dpi=80)
        pyplot().close(figure)
        text = base64.b64encode(data.getvalue()).decode()
        self.parts.append(f"<img src='data:image/png;base64,{text}'>")


def mix_picture(page: Page, sound: np.ndarray, title: str) -> None:
    """Draw spectrogram and loudness of a mix."""
    figure, (top, below) = pyplot().subplots(2, 1, figsize=(14, 8))
    top.specgram(sound.mean(axis=1)[: 30 * RATE_HZ] + 1e-9, NFFT=2048, Fs=RATE_HZ, noverlap=1024,
                 vmin=-160, vmax=-40)  # fmt: skip
    top.set(title=f"{title}, first 30 s", ylabel="Hz", yscale="symlog", ylim=(30, 20000))
    energies = step_energies(np.ascontiguousarray(sound.T), RATE_HZ)
    means = np.convolve(energies, np.full(30, 1 / 30), "valid")
    short = OFFSET_LUFS + 10 * np.log10(np.maximum(means, 1e-12))
    below.plot(np.arange(short.size) / 10 + 1.5, short)
    below.set(ylabel="short-term LUFS", xlabel="s", ylim=(-40, -8))
    below.grid(visible=True)
    page.picture(figure)


def part_tables(page: Page, take: Performance) -> None:
    """Compare every part by itself with FluidSynth, by octave bands."""
    lines = [f"{'':24}" + "".join(f"{band:>8g}" for band in BANDS_HZ) + "    LUFS   dBTP"]
    for part in take.parts:
        if not part.notes:
            continue
        alone = replace(take, parts=(part,))
        ours, theirs = rendered(alone), through_fluidsynth(alone)
        for who, sound in (("ours", ours), ("FluidR3", theirs)):
            levels = "".join(f"{level:8.1f}" for level in band_levels(sound))
            peak_db = 20 * np.log10(true_peak(planar_of(sound), RATE_HZ))
            lines.append(f"{part.name:12}{who:12}{levels}{integrated_lufs(sound, RATE_HZ):8.1f}"
                         f"{peak_db:7.1f}")  # fmt: skip
        apart = band_levels(ours) - band_levels(theirs)
        lines.append(f"{part.name:12}{'difference':12}" + "".join(f"{one:8.1f}" for one in apart))
        if part.name == "chords":
            asked = [abs(one) for one, hz in zip(apart, BANDS_HZ, strict=True) if 250 <= hz <= 4000]
            lines.append(f"{'':24}largest difference from 250 Hz to 4 kHz: {max(asked):.1f} dB "
                         "(6 asked)")  # fmt: skip
    page.table("\n".join(lines))


def note_tables(page: Page) -> None:
    """Compare single notes, and draw how their partials decay."""
    for instrument, part in (("ukulele", "chords"), ("bass", "bass")):
        take = single_notes(instrument, part)
        count = len(NOTES[instrument])
        ours, theirs = (note_rows(sound, count)
                        for sound in (rendered(take), through_fluidsynth(take)))  # fmt: skip
        lines = [
            f"{instrument:10}{'centroid Hz 0 s':>18}{'0.6 s':>8}{'dB at 0.3 s':>14}{'0.9 s':>8}"
        ]
        for (pitch, _, _), own, other in zip(NOTES[instrument], ours, theirs, strict=True):
            for who, row in (("ours", own), ("FluidR3", other)):
                lines.append(
                    f"{pitch:4} {who:9}{row[0]:14.0f}{row[1]:8.0f}{row[2]:14.1f}{row[3]:8.1f}"
                )
        page.table("\n".join(lines))
        decay_picture(page, instrument)


def decay_picture(page: Page, instrument: str) -> None:
    """Draw the partials of three notes at the middle layer and their decays."""
    figure, axes = pyplot().subplots(1, 3, figsize=(14, 4))
    for axis, (pitch, string, fret) in zip(axes, NOTES[instrument][:3], strict=True):
        partials = pluck.string_partials(PLUCKED[instrument], pitch, string, fret)
        size = np.abs(partials.amplitude[0, 2])
        axis.stem(partials.hz, 20 * np.log10(size / size.max() + 1e-6), basefmt=" ", bottom=-80)
        axis.set(title=f"{instrument} {pitch}", xlabel="Hz", ylabel="dB", ylim=(-80, 3))
        twin = axis.twinx()
        twin.plot(partials.hz, 6.91 / partials.decay_per_s, "r.")
        twin.set_ylabel("T60 s (red)")
    page.picture(figure)


def main() -> None:
    """Write the page."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("-o", "--out", type=Path, default=Path("out/sound_report"))
    options.add_argument("charts", nargs="*", type=Path)
    chosen = options.parse_args()
    page = Page()
    for path in chosen.charts or sorted((ROOT / "demos").glob("*.changes")):
        take = take_from_chart(read_chart(path), Choices()).performance
        page.heading(take.title)
        mix_picture(page, rendered(take), take.title)
        part_tables(page, take)
    page.heading("Single notes")
    note_tables(page)
    chosen.out.mkdir(parents=True, exist_ok=True)
    (chosen.out / "sound.html").write_text("\n".join(page.parts), encoding="utf-8")
    print(f"\nwrote {chosen.out / 'sound.html'}")


if __name__ == "__main__":
    main()
