"""The whole road from options to files: the swing asked for is the swing in the MIDI file.

Read back by pretty_midi, which knows nothing of ours. The ratio is that of the two parts of every
beat the ride cymbal divides, at three tempos.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group

CHART = "title: Swing\nkey: C\ntempo: 120\n[A]\n| C | F | G7 | C |\n| C | F | G7 | C |\n"
RIDE = 51
"""General MIDI 1 percussion key 51: ride cymbal 1."""


@pytest.mark.parametrize("tempo", [60, 120, 240])
@pytest.mark.parametrize("ratio", [1, 1.5, 2, 3])
def test_the_ratio_asked_for_is_the_ratio_played(
    tempo: int, ratio: float, tmp_path: Path, need_module: Callable[[str], None]
) -> None:
    need_module("pretty_midi")
    import pretty_midi

    chart = tmp_path / "swing.changes"
    chart.write_text(CHART, "utf-8")
    line = f"--tempo {tempo} --swing {ratio} --drums ride --humanize 0 --count-in 0 --variation 0"
    out = tmp_path / "swing.mid"
    result = CliRunner().invoke(group, ["render", str(chart), "-o", str(out), *line.split()])
    assert result.exit_code == 0, result.output
    midi = pretty_midi.PrettyMIDI(str(out))
    drums = next(part for part in midi.instruments if part.is_drum)
    beat_s = 60 / tempo
    places = [note.start / beat_s % 1 for note in drums.notes if note.pitch == RIDE]
    offbeats = [place for place in places if 0.3 < place < 0.9]
    assert len(offbeats) >= 8
    for place in offbeats:
        assert place / (1 - place) == pytest.approx(ratio, rel=0.01)
