"""Bass and drum pattern files that almost are patterns: only the project's own error comes out."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from porchswing.band.bass.bass_part import WORDS, parse_bass_style
from porchswing.band.drumming.drum_part import PIECES, parse_drum_groove
from porchswing.errors import PatternError
from porchswing.rhythm.patterns import read_pattern_text

ROOT = Path(__file__).resolve().parents[2]
FILES = [p for kind in ("bass", "drums") for p in sorted((ROOT / "patterns" / kind).glob("*.toml"))]
SIGNS = ["1", "2", "5", "&", "trip", "let", ".", "-", '"', "=", "\n", " ", "0", "é", "{}", "[]"]
KEYS = ["count", "place", "every 4", "loud", "[[bars]]", *WORDS, *PIECES]
SCRAPS = st.sampled_from([*SIGNS, *KEYS])
READERS = {"bass": parse_bass_style, "drums": parse_drum_groove}


@st.composite
def nearly_patterns(draw: st.DrawFn) -> tuple[str, str]:
    """Return a kind and one of its files with a few places overwritten."""
    path = draw(st.sampled_from(FILES))
    text = path.read_text(encoding="utf-8")
    for _ in range(draw(st.integers(1, 5))):
        start = draw(st.integers(0, len(text)))
        end = draw(st.integers(start, min(start + 12, len(text))))
        text = text[:start] + draw(SCRAPS | st.text(max_size=6)) + text[end:]
    return path.parent.name, text


def complaint(kind: str, text: str) -> str | None:
    """Return what reading the text complains of, ``None`` where it reads."""
    try:
        READERS[kind](read_pattern_text(kind, "fuzz", f"patterns/{kind}/fuzz.toml", text))
    except PatternError as error:
        return str(error)
    return None


@settings(max_examples=150, deadline=None)
@given(nearly_patterns())
def test_a_damaged_pattern_reads_or_says_what_is_wrong(pattern):
    kind, text = pattern
    said = complaint(kind, text)
    assert said is None or said.startswith(f"patterns/{kind}/fuzz.toml: ")


@pytest.mark.parametrize("kind", READERS)
@settings(max_examples=100, deadline=None)
@given(text=st.text())
def test_any_text_says_what_is_wrong(kind, text):
    said = complaint(kind, text)
    assert said is not None
    assert said.startswith(f"patterns/{kind}/fuzz.toml: ")
