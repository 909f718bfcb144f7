"""What a swap keeps and what it moves, note by note (any harmony primer)."""

from __future__ import annotations

import pytest

from porchswing.harmony.choice.swap_report import changed
from porchswing.theory.symbols import parse_chord


@pytest.mark.parametrize(
    ("before", "after", "stays", "moves"),
    [
        ("G7", "Db7", ("B", "F"), ("D>Db", "G>Ab")),  # the tritone stays, the rest slides
        ("G7", "C6", (), ("B>C", "F>E", "+A")),
        ("C", "Cmaj7", ("E",), ("+B",)),
        ("C6", "Cmaj7", ("E",), ("A>B",)),
        ("Am", "Ab", ("C",), ("A>Ab", "E>Eb")),
        ("B", "C", (), ("B>C", "D#>E", "F#>G")),
        ("C", "B", (), ("C>B", "E>D#", "G>F#")),
        ("C7", "C7", ("E", "Bb"), ()),
        ("Dm7 G7", "Dm7 Db7", ("F", "C", "B"), ("+Db", "G>Ab")),  # D stays in Dm7
    ],
)
def test_what_stays_and_what_moves(
    before: str, after: str, stays: tuple[str, ...], moves: tuple[str, ...]
) -> None:
    chords = [tuple(parse_chord(word) for word in row.split()) for row in (before, after)]
    assert changed(*chords) == (stays, moves)
