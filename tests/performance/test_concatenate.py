"""Joining performances: nothing of any piece changes but when it comes."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.chart.language.reader import read_chart
from porchswing.errors import OptionError
from porchswing.midi.smf import midi_bytes
from porchswing.options import BandStyle, Choices
from porchswing.performance.concatenate import join
from porchswing.performance.model import Performance
from porchswing.take import take_from_chart


@pytest.fixture(scope="module")
def pieces() -> tuple[Performance, Performance]:
    root = Path(__file__).resolve().parents[2]
    chart = read_chart(root / "demos" / "pickled_lemon_blues.changes")
    slow = take_from_chart(chart, Choices(style=BandStyle(tempo_bpm=70)))
    fast = take_from_chart(chart, Choices(style=BandStyle(tempo_bpm=140), only=("bass", "count")))
    return slow.performance, fast.performance


def test_every_note_keeps_its_timing_inside_its_piece(
    pieces: tuple[Performance, Performance],
) -> None:
    first, second = pieces
    whole = join(pieces, "both")
    bass = whole.part("bass").notes
    count = len(first.part("bass").notes)
    assert bass[:count] == first.part("bass").notes
    moved = [(n.onset_s - first.end_s, n.onset_ticks - first.end_ticks) for n in bass[count:]]
    own = [(n.onset_s, n.onset_ticks) for n in second.part("bass").notes]
    for (late_s, ticks), (own_s, own_ticks) in zip(moved, own, strict=True):
        assert late_s == pytest.approx(own_s, abs=1e-9)
        assert ticks == own_ticks


def test_a_midi_reader_hears_the_seconds_we_state(
    pieces: tuple[Performance, Performance], tmp_path: Path
) -> None:
    """pretty_midi reads the tempo map of the joined file by itself."""
    pretty_midi = pytest.importorskip("pretty_midi")
    whole = join(pieces, "both")
    path = tmp_path / "both.mid"
    path.write_bytes(midi_bytes(whole))
    heard = pretty_midi.PrettyMIDI(str(path))
    bass = next(i for i in heard.instruments if i.name == "bass")
    stated = [note.onset_s for note in whole.part("bass").notes]
    assert sorted(n.start for n in bass.notes) == pytest.approx(stated, abs=1e-6)


def test_nothing_to_join_is_an_error() -> None:
    with pytest.raises(OptionError, match="at least one performance"):
        join([], "nothing")
