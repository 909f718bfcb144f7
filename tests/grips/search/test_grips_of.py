"""The grips of one chord, the easiest first."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

import porchswing as ps

# the first grips of any beginner's chord card for gCEA (common practice, no single source)
FIRST_GRIPS = {
    "C": "0003", "F": "2010", "Am": "2000", "C7": "0001", "G7": "0212", "G": "0232",
    "A": "2100", "Dm": "2210", "A7": "0100", "Am7": "0000",
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "frets"), FIRST_GRIPS.items())
def test_a_beginners_grip_comes_first(symbol: str, frets: str) -> None:
    assert str(ps.grips_of(symbol, grips="open")[0]) == frets


@given(
    st.sampled_from(["Am7", "Bb7", "F6", "Cm", "D9", "Gmaj7", "Ebdim7"]),
    st.sampled_from(["closed", "any"]),
    st.integers(4, 12),
    st.integers(2, 4),
)
def test_every_grip_keeps_the_limits_and_sounds_only_the_chord(
    symbol: str, kind: str, max_fret: int, max_stretch: int
) -> None:
    try:
        grips = ps.grips_of(symbol, grips=kind, max_fret=max_fret, max_stretch=max_stretch)
    except ps.GripError:
        return  # a hand of a stretch of two frets finds none for some chords
    assert len(set(grips)) == len(grips) > 0
    pitch_classes = ps.parse_chord(symbol).pcs
    for grip in grips:
        frets = [fret for fret in grip.frets if fret]
        assert not frets or (max(frets) <= max_fret and max(frets) - min(frets) <= max_stretch)
        assert kind == "any" or grip.is_closed
        assert {note % 12 for note in grip.midi if note is not None} <= pitch_classes


def test_limits_override_the_hand_and_a_profile_overrides_both_weights_and_limits() -> None:
    assert max(max(g.frets) for g in ps.grips_of("F6", hand=ps.Hand(max_fret=5))) <= 5
    small = ps.Ease("small", (("max_stretch", 1),))
    stretches = [max(g.frets) - min(g.frets) for g in ps.grips_of("F6", grips="closed", ease=small)]
    assert max(stretches) <= 1


@pytest.mark.parametrize(
    ("words", "error"),
    [
        ({"chord": "Es7"}, ps.ChordSymbolError),
        ({"tuning": "banjolin"}, ps.TuningError),
        ({"grips": "shut"}, ps.GripError),
        ({"max_fret": 0}, ps.GripError),
    ],
)
def test_mistakes_are_errors_of_ours(words: dict[str, object], error: type[Exception]) -> None:
    with pytest.raises(error):
        ps.grips_of(**{"chord": "Am7"} | words)  # type: ignore[arg-type]
