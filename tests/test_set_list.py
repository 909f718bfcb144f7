"""Set lists from TOML: what is read, and every error with its key path."""

from __future__ import annotations

from pathlib import Path

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import SetListError
from porchswing.pages.chord_sheet.chord_sheet import chord_sheet
from porchswing.pages.set_page import PageTune
from porchswing.set_list import SetList, order_rows, parse_set, read_set

WHOLE = """
title = "Harbour dance"
gap_s = 30
[defaults]
choruses = 2
lane = "plain"
[[tune]]
chart = "a.changes"
key = "Eb"
tempo = 96
note = "slow start"
[[tune]]
chart = "b.changes"
tempo = "80%"
choruses = 3
lane = "swing"
depth = 3
count-in = 1
"""


def test_a_tune_stands_over_the_defaults() -> None:
    found = parse_set(WHOLE, "x.toml")
    assert (found.title, found.gap_s, len(found.tunes)) == ("Harbour dance", 30.0, 2)
    first, second = found.tunes
    assert (first.chart, first.note) == ("a.changes", "slow start")
    assert (first.choices.key, first.choices.lane, first.choices.choruses) == ("Eb", "plain", 2)
    assert first.choices.style.tempo_bpm == 96
    assert (second.choices.key, second.choices.lane, second.choices.choruses) == (None, "swing", 3)
    assert (second.choices.style.tempo_share, second.choices.depth) == (0.8, 3)
    assert second.choices.style.count_in_bars == 1


ONE = '[[tune]]\nchart = "a.changes"\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title = 3\n" + ONE, "x.toml: title must be a text, got 3"),
        ("titel = 'x'\n" + ONE, "did you mean 'title'?"),
        ("", "x.toml: tune must be a list of tables: write [[tune]] at least once"),
        ("gap_s = -1\n" + ONE, "x.toml: gap_s must be a number from 0 to 3600, got -1"),
        ("[[tune]]\nkey = 'C'", "x.toml: tune[0].chart is missing"),
        (ONE + ONE + "tempo = 999", "x.toml: tune[1].tempo "),
        (ONE + "key = 'H9'", "x.toml: tune[0].key "),
        (ONE + "choruses = 0", "x.toml: tune[0].choruses "),
        (ONE + "loudness = -20", "x.toml: unknown key 'tune[0].loudness'"),
        ("[defaults]\nchart = 'a'\n" + ONE, "x.toml: unknown key 'defaults.chart'"),
        ("[defaults\n", "x.toml: not TOML"),
        ("#" * 100_001, "at most 100000 bytes"),
    ],
)
def test_an_error_names_file_and_key_path(text: str, said: str) -> None:
    with pytest.raises(SetListError) as caught:
        parse_set(text, "x.toml")
    assert said in str(caught.value)


def test_a_file_that_cannot_be_read_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(SetListError, match=r"tune\.changes is a chart; a set list is a TOML file"):
        read_set(tmp_path / "tune.changes")
    with pytest.raises(SetListError, match="cannot read"):
        read_set(tmp_path / "none.toml")
    (tmp_path / "bad.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(SetListError, match="not UTF-8"):
        read_set(tmp_path / "bad.toml")


def test_a_tempo_is_shown_as_a_metronome_counts_it() -> None:
    """90 % of 112 is 100.8."""
    sheet = chord_sheet(parse_chart("[A]\n| F |\n"), "plain")
    tune = PageTune("Gate", "F", "4/4", 100.8, 1, 60.0, (), "", sheet)
    assert tune.pace == "4/4, 101 bpm"
    assert order_rows(SetList("An evening", "x.toml", ()), (tune,))[1][3] == "101"
