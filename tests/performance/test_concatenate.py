"""Joining performances: nothing of any piece changes but when it comes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from porchswing.band.score import Label
from porchswing.chart.language.reader import read_chart
from porchswing.errors import OptionError
from porchswing.midi.smf import midi_bytes
from porchswing.options import BandStyle, Choices
from porchswing.performance.concatenate import join, named
from porchswing.performance.model import Performance
from porchswing.performance.perform import perform
from porchswing.take import take_from_chart
from support import made


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


def short(bpm: float, beats: int, *labels: Label) -> Performance:
    walk = made.walks([40 + at for at in range(beats)])
    score = made.hand_made(walk, quarter_bpm=bpm, beats=beats, labels=labels)
    return perform(score, humanize=0)


def test_ticks_seconds_and_beats_go_on_where_the_piece_before_ends() -> None:
    labels = Label(Fraction(0), "chord", "F"), Label(Fraction(1), "chord", "Bb")
    whole = join([short(120, 2, *labels), short(120, 1), short(60, 2, *labels)], "three")
    tempo = [(event.tick, event.us_per_quarter, event.seconds) for event in whole.tempo_events]
    assert tempo == [(0, 500_000, 0.0), (2880, 1_000_000, 1.5)]  # a tempo that stays is not said
    assert [(mark.tick, mark.seconds, mark.text) for mark in whole.marks] == [
        (0, 0.0, "F"), (960, 0.5, "Bb"), (2880, 1.5, "F"), (3840, 2.5, "Bb"),
    ]  # fmt: skip
    assert [(n.onset_ticks, n.end_ticks, n.pitch) for n in whole.part("bass").notes] == [
        (0, 960, 40), (960, 1920, 41), (1920, 2880, 40), (2880, 3840, 40), (3840, 4800, 41),
    ]  # fmt: skip
    assert [(n.beats, n.beats_end) for n in whole.part("bass").notes] == [
        (at, at + 1) for at in range(5)
    ]
    assert [n.end_s for n in whole.part("bass").notes] == [0.5, 1.0, 1.5, 2.5, 3.5]
    assert (whole.title, whole.end_ticks, whole.end_s) == ("three", 4800, 3.5)


def test_the_first_piece_gives_meter_key_and_seed() -> None:
    first = replace(short(120, 2), meter=(3, 4), key="Bb", seed=5)
    whole = join([first, short(60, 2)], "both")
    assert (whole.meter, whole.key, whole.seed) == ((3, 4), "Bb", 5)


def test_a_name_takes_the_place_of_all_section_marks() -> None:
    labels = (Label(Fraction(0), "section", "A"), Label(Fraction(1), "chord", "F"))
    found = named(short(120, 4, *labels, Label(Fraction(2), "section", "B")), "slowly")
    marks = [(mark.tick, mark.seconds, mark.kind, mark.text) for mark in found.marks]
    assert marks == [(0, 0.0, "section", "slowly"), (960, 0.5, "chord", "F")]


def test_nothing_to_join_is_an_error() -> None:
    with pytest.raises(OptionError, match="at least one performance"):
        join([], "nothing")
