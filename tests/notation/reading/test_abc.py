"""The ``w:`` lines of ABC, as the standard 2.1 (abcnotation.com, section 5.1) aligns them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from porchswing.chart.language.writer import write_chart
from porchswing.notation.reading.abc import AbcWords
from porchswing.notation.reading.importing import import_lead_sheet


def given(music: str, *lines: str) -> list[tuple[int, int, str]]:
    words = AbcWords()
    words.music(music)
    for line in lines:
        words.words(line)
    return [(word.note, word.verse, word.text + "-" * word.is_joined) for word in words.found]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("syll-a-ble", [(0, 1, "syll-"), (1, 1, "a-"), (2, 1, "ble")]),
        ("time__", [(0, 1, "time"), (1, 1, ""), (2, 1, "")]),
        ("* * late", [(2, 1, "late")]),
        ("of~the day", [(0, 1, "of the"), (1, 1, "day")]),
        ("one | two", [(0, 1, "one"), (2, 1, "two")]),
        (r"rock\-a", [(0, 1, "rock-a")]),
    ],
)
def test_signs(line: str, expected: list[tuple[int, int, str]]) -> None:
    assert given('"F"^A c, | [Ac]2 z B |', line) == expected


def test_lines_under_one_line_of_music_are_verses() -> None:
    assert given("A B", "one two", "un deux") == [
        (0, 1, "one"), (1, 1, "two"), (0, 2, "un"), (1, 2, "deux"),
    ]  # fmt: skip


TUNE = """\
X:1
T:Kettle Song
M:4/4
L:1/4
K:F
"F"A c A2 | "Gm7"G {a}G z "C7"C |
w: Lan-tern street | I'm walk-ing
w: Moth up high | come to light
|: "F"A4 | "Bb"(B2 A/)G/ z :|
w: home | o-_ver
"""


def test_a_tune_brings_its_words(need_module, tmp_path: Path) -> None:
    need_module("music21")
    path = tmp_path / "kettle.abc"
    path.write_text(TUNE, encoding="utf-8")
    found = import_lead_sheet(path)
    text = re.sub(" +", " ", write_chart(found.chart))
    assert "words | Lan-tern street | I'm walk-ing | home | o- _ ver |" in text
    assert "words 2 | Moth up high | come to light | * | * |" in text
    assert not any("word" in line for line in found.left_out)


def test_words_too_many_and_unreadable_are_told(need_module, tmp_path: Path) -> None:
    need_module("music21")
    path = tmp_path / "kettle.abc"
    path.write_text(TUNE.replace("home | o-_ver", "home | o-_ver a-lone -x"), encoding="utf-8")
    left_out = import_lead_sheet(path).left_out
    assert any("beyond the notes" in line for line in left_out)
    assert any("'-x'" in line for line in left_out)


def test_a_gap_inside_a_word_is_not_held(need_module, tmp_path: Path) -> None:
    """The standard's ``*`` skips a note, its ``_`` holds the syllable."""
    need_module("music21")
    head = 'X:1\nT:Gap\nM:4/4\nL:1/4\nK:F\n"F"A c A G | "F"A4 |\n'
    for line in ("Lan- * tern", "Lan- _ tern", "see _ * now"):
        path = tmp_path / "gap.abc"
        path.write_text(f"{head}w: {line}\n", encoding="utf-8")
        text = write_chart(import_lead_sheet(path).chart)
        assert f"words | {line} |" in re.sub(" +", " ", text)
