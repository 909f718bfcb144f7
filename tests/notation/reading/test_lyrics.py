"""Words go out as lyrics of MusicXML and come back.

The W3C's schema says that the scores are right, and music21 reads the lyrics by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import fromstring

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart, Verse
from porchswing.chart.unroll import unroll
from porchswing.notation.reading.importing import import_lead_sheet
from porchswing.notation.writing.musicxml import score_musicxml
from porchswing.notation.writing.written_parts import NotatedLane
from support.sung_tunes import PORCH_LIGHT, SUNG


def score_of(chart: Chart) -> str:
    return score_musicxml(chart, [NotatedLane(lane, unroll(chart, lane)) for lane in ("plain",)])


def verses(chart: Chart) -> dict[str, tuple[Verse, ...]]:
    return {section.name: section.words for section in chart.sections}


@pytest.mark.parametrize("name", SUNG)
def test_words_come_back_from_a_valid_score(
    need_module, assert_valid: Callable[[str], None], name: str, tmp_path: Path
) -> None:
    need_module("music21")
    chart = parse_chart(SUNG[name])
    text = score_of(chart)
    assert_valid(text)
    path = tmp_path / "tune.musicxml"
    path.write_text(text, encoding="utf-8")
    found = import_lead_sheet(path)
    assert verses(found.chart) == verses(chart)
    assert not any("word" in line for line in found.left_out)


def lyrics_read(text: str) -> list[tuple[int, str, str]]:
    """Return what music21 reads under every note: verse, text, place in its word."""
    from music21 import converter

    score: Any = converter.parseData(text, format="musicxml")
    part = next(part for part in score.parts if part.partName in ("Melody", "Words"))
    return [
        (lyric.number, lyric.text, lyric.syllabic)
        for note in part.recurse().notes
        for lyric in note.lyrics
        if lyric.text
    ]


def test_music21_reads_syllables_hyphens_and_verses(need_module) -> None:
    need_module("music21")
    found = lyrics_read(score_of(parse_chart(PORCH_LIGHT)))
    assert found[:6] == [
        (1, "Lan", "begin"),
        (1, "tern", "end"),
        (1, "street", "single"),
        (1, "I'm", "single"),
        (1, "walk", "begin"),
        (1, "ing", "end"),
    ]
    texts = [text for _, text, _ in found]
    assert texts[9:12] == ["Moth", "up", "high"]
    assert "to the" in texts
    third = [text for number, text, _ in lyrics_read(score_of(parse_chart(SUNG["rain gauge"])))
             if number == 3]  # fmt: skip
    assert third == ["שיר", "של", "גשם", "יום", "טוב"]


def test_held_syllables_have_extenders_over_the_bar_line(need_module) -> None:
    chart = parse_chart(
        "[A]\n| F | C7 |\nmelody | A4:2 G4:2 | F4:2 E4:2 |\nwords | see _ | _ now |\n"
    )
    lyrics = list(fromstring(score_of(chart)).iter("lyric"))
    ways = []
    for each in lyrics:
        extend = each.find("extend")
        ways.append((each.findtext("text"), None if extend is None else extend.get("type")))
    assert ways == [("see", "start"), (None, "continue"), (None, "stop"), ("now", None)]


def test_extenders_and_slurred_words_of_other_programs(need_module, tmp_path: Path) -> None:
    """One extender on the first note only, and a word whose hyphen crosses a note without text."""
    need_module("music21")
    text = score_of(
        parse_chart("[A]\n| F |\nmelody | A4:1 G4:1 F4:1 E4:1 |\nwords | see _ o-ver |\n")
    )
    text = text.replace('<extend type="start" />', "<extend/>")
    start = text.index("<lyric", text.index("<extend/>"))
    text = text[:start] + text[text.index("</lyric>", start) + len("</lyric>") :]
    path = tmp_path / "other.musicxml"
    path.write_text(text, encoding="utf-8")
    (verse,) = import_lead_sheet(path).chart.sections[0].words
    assert [(each.text, each.at, each.beats) for each in verse[0]] == [
        ("see", 0, 2),
        ("o", 2, 1),
        ("ver", 3, 1),
    ]


@pytest.mark.parametrize(
    "words",
    [
        "Lan- * tern now",
        "Lan- _ * tern",
        "see _ * now",
        "Lan- * | _ tern",
        "Lan- _ _ * | * tern _ *",
        "Lan- * * * | tern",
    ],
)
@pytest.mark.parametrize("melody", ["A4:1 G4:1 F4:1 E4:1", ""])
def test_gaps_inside_words_and_after_holds_come_back(
    need_module,
    assert_valid: Callable[[str], None],
    words: str,
    melody: str,
    tmp_path: Path,
) -> None:
    need_module("music21")
    bars = words.split("|")
    if not melody:  # by beat: every share has its own sign
        bars = [" ".join((bar.split() + ["*"] * 3)[:4]) for bar in bars]
    lines = ["[A]", "| F " * len(bars) + "|"]
    lines += [f"melody {f'| {melody} ' * len(bars)}|"] if melody else []
    verse = " | ".join(bars)
    chart = parse_chart("\n".join([*lines, f"words | {verse} |", f"words 2 | {verse} |"]) + "\n")
    text = score_of(chart)
    assert_valid(text)
    path = tmp_path / "gap.musicxml"
    path.write_text(text, encoding="utf-8")
    assert verses(import_lead_sheet(path).chart) == verses(chart)
    sung = [each.strip("-") for each in verse.split() if each not in ("_", "*", "|")]
    assert [word for number, word, _ in lyrics_read(text) if number == 2] == sung


def test_words_that_a_chart_cannot_say_are_told(need_module, tmp_path: Path) -> None:
    need_module("music21")
    chart = parse_chart("[A]\n| F | C7 |\nwords | a b c d | e |\n")
    text = score_of(chart).replace("<divisions>2</divisions>", "<divisions>7</divisions>")
    path = tmp_path / "odd.musicxml"
    path.write_text(text, encoding="utf-8")
    assert any("words at places" in line for line in import_lead_sheet(path).left_out)
