"""The notes in the audio are the notes in the MIDI: a general-purpose transcriber hears them.

basic-pitch 0.4.0 with the ONNX model its package ships (install it with ``--no-deps`` beside
onnxruntime, librosa, resampy and mir_eval). ``tests/bench/audio_transcribe.py`` does the same over
a whole tune.

For CI alone, since the transcriber takes twenty seconds to start where nothing of it is cached:
``tests/audio/synth/test_notes_in_tune.py`` measures pitches and onsets of every part directly.
"""

from __future__ import annotations

import pytest

from bench.audio_transcribe import SOUNDFONT, compare
from porchswing.chart.language.reader import read_chart
from porchswing.options import Choices
from porchswing.take import take_from_chart


@pytest.mark.slow
def test_our_notes_are_heard_as_well_as_a_sampled_guitars(
    tmp_path, root, need_module, need_program, need_file
):
    """Note F1 (onsets within 50 ms) no lower than on FluidSynth's rendering minus 0.05."""
    for module in ("basic_pitch", "onnxruntime", "librosa", "mir_eval"):
        need_module(module)
    need_program("fluidsynth")
    need_file(SOUNDFONT, "apt install fluid-soundfont-gm")
    chart = read_chart(root / "demos" / "lantern_street_stroll.changes")
    take = take_from_chart(chart, Choices()).performance
    for part in ("chords", "bass"):
        results = compare(take, part, 30.0, tmp_path)
        assert results["porchswing"].notes > 30
        assert results["porchswing"].f1 >= results["FluidSynth"].f1 - 0.05, results
