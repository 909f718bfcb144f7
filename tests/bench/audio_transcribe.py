"""Are the notes in the audio the notes in the MIDI? Asked of a general-purpose transcriber.

basic-pitch (ICASSP 2022 model, shipped in its package as ONNX) hears our rendering and FluidSynth's
rendering of the same MIDI, the chord part and the bass each alone; mir_eval scores its notes
against the performance (onsets within 50 ms, pitch within half a semitone, ends ignored).

Run from the checkout: ``python tests/bench/audio_transcribe.py [--seconds 60]``. Needs
``pip install --no-deps basic-pitch`` beside onnxruntime, librosa, resampy and mir_eval, the
``fluidsynth`` program and FluidR3.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import warnings
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
LEAST_BEHIND = -0.05
"""How far under FluidSynth's F1 ours may lie."""

FLOORS = {"chords": 0.806, "bass": 0.915}
"""F1 of the first demo's first minute that no change may fall under."""

SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")


class Score(NamedTuple):
    """How a transcription matches: precision, recall, F1 and how many notes there were."""

    precision: float
    recall: float
    f1: float
    notes: int


def heard(path: Path):
    """Return the notes basic-pitch hears: onsets and ends in seconds, pitches in Hz."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from basic_pitch import FilenameSuffix, build_icassp_2022_model_path
        from basic_pitch.inference import Model, predict

        model = Model(build_icassp_2022_model_path(FilenameSuffix.onnx))
        _, _, events = predict(path, model)
    events.sort()
    times = np.array([(event[0], event[1]) for event in events])
    return times, 440.0 * 2.0 ** ((np.array([event[2] for event in events]) - 69) / 12)


def played(part, seconds: float):
    """Return the part's notes that have a pitch: onsets and ends in seconds, pitches in Hz."""
    rows = sorted(
        {
            (round(one.onset_s, 6), max(one.end_s, one.onset_s + 0.05), one.pitch)
            for one in part.notes
            if one.touch in ("ring", "damp", "slur") and one.onset_s < seconds
        }
    )
    times = np.array([row[:2] for row in rows])
    return times, 440.0 * 2.0 ** ((np.array([row[2] for row in rows]) - 69) / 12)


def scored(path: Path, part, seconds: float) -> Score:
    """Transcribe a file and score it against the part."""
    import mir_eval

    truth, heard_notes = played(part, seconds), heard(path)
    precision, recall, f1, _ = mir_eval.transcription.precision_recall_f1_overlap(
        *truth, *heard_notes, onset_tolerance=0.05, offset_ratio=None
    )
    return Score(precision, recall, f1, len(truth[0]))


def compare(take, name: str, seconds: float, folder: Path) -> dict[str, Score]:
    """Score our sound and FluidSynth's of one part by itself."""
    from porchswing.audio.master.audio_files import write_files
    from porchswing.audio.mix.strikes import schedule_of
    from porchswing.midi.smf import midi_bytes

    notes = tuple(one for one in take.part(name).notes if one.onset_s < seconds)
    part = replace(take.part(name), notes=notes)
    alone = replace(take, parts=(part,), end_s=min(take.end_s, seconds + 1.0))
    ours, theirs, midi = (folder / f"{name}{end}" for end in (".wav", ".theirs.wav", ".mid"))
    write_files(schedule_of(alone), [ours])
    midi.write_bytes(midi_bytes(alone))
    command = ["fluidsynth", "-ni", "-g", "0.6", "-F", str(theirs), str(SOUNDFONT), str(midi)]
    subprocess.run(command, check=True, capture_output=True)
    return {
        "porchswing": scored(ours, part, seconds),
        "FluidSynth": scored(theirs, part, seconds),
    }


def main() -> None:
    """Score the chord part and the bass of a chart."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--seconds", type=float, default=60.0)
    options.add_argument(
        "--chart", type=Path, default=ROOT / "demos" / "lantern_street_stroll.changes"
    )
    chosen = options.parse_args()
    from porchswing.chart.language.reader import read_chart
    from porchswing.options import Choices
    from porchswing.take import take_from_chart

    take = take_from_chart(read_chart(chosen.chart), Choices()).performance
    is_floor_known = chosen.chart == options.get_default("chart") and chosen.seconds == 60.0
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        for name in ("chords", "bass"):
            results = compare(take, name, chosen.seconds, Path(folder))
            for who, result in results.items():
                print(f"{name:7} {who:11} P {result.precision:.3f}  R {result.recall:.3f}  "
                      f"F1 {result.f1:.3f}  ({result.notes} notes)")  # fmt: skip
            lead = results["porchswing"].f1 - results["FluidSynth"].f1
            floor = FLOORS[name] if is_floor_known else 0.0
            print(f"{name:7} difference {lead:+.3f} (at least {LEAST_BEHIND} asked), "
                  f"F1 at least {floor} asked")  # fmt: skip
            failed |= lead < LEAST_BEHIND or results["porchswing"].f1 < floor
    sys.exit(failed)


if __name__ == "__main__":
    main()
