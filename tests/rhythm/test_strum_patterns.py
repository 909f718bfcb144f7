"""Strum patterns: every shipped one is sound, and broken ones are refused by file and place."""

from __future__ import annotations

import contextlib
import re
import subprocess
import sys
import zipfile
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from porchswing.chart.model import Meter
from porchswing.errors import OptionError, PatternError
from porchswing.rhythm.patterns import (
    KINDS,
    PatternData,
    counted_text,
    load_pattern_data,
    parse_count,
    pattern_names,
    read_pattern_text,
)
from porchswing.rhythm.strum import (
    DEFAULT_STRUMS,
    SIGNS,
    StrumPattern,
    load_strum,
    strum_for,
    strum_pattern,
)

NAMES = pattern_names("strum")


def test_there_are_enough_for_every_meter() -> None:
    assert len(NAMES) >= 24
    meters = [str(load_strum(name).meter) for name in NAMES]
    for meter, least in {"4/4": 16, "3/4": 3, "2/4": 2, "6/8": 2, "12/8": 1}.items():
        assert meters.count(meter) >= least, meter


def test_titles_are_unique_and_every_pattern_says_when() -> None:
    patterns = [load_strum(name) for name in NAMES]
    assert len({pattern.title for pattern in patterns}) == len(patterns)
    for pattern in patterns:
        assert 20 <= len(pattern.when) <= 160, pattern.name
        assert pattern.when.endswith(".")


@pytest.mark.parametrize("name", NAMES)
def test_every_pattern_fills_its_bars_and_ends(name: str) -> None:
    pattern = load_strum(name)
    assert pattern.placed("groove")
    assert pattern.placed("ending")
    for bar in pattern.bars:
        places = [cell.at for cell in bar.cells]
        assert places == sorted(set(places))
        assert all(0 <= at < pattern.meter.bar_beats for at in places)


@pytest.mark.parametrize("name", NAMES)
def test_the_hand_goes_down_on_the_beat(name: str) -> None:
    # common practice, no source: the hand swings like a pendulum, down on the beat
    pattern = load_strum(name)
    felt = Fraction(3, 2) if pattern.meter.is_compound else Fraction(1)
    for bar in pattern.bars:
        for cell in bar.cells:
            if cell.kind == "strum" and cell.at % felt == 0:
                assert cell.direction == "down", (name, cell)


@pytest.mark.parametrize("kind", KINDS)
def test_counted_text_lines_every_sign_up_under_its_count(kind: str) -> None:
    for name in pattern_names(kind):
        data = load_pattern_data(kind, name)
        lines = counted_text(data)
        assert sum(line.endswith(":") for line in lines) == len(data.tables("bars"))
        starts: list[int] = []
        for line in lines:
            found = [m.start() for m in re.finditer(r"\S+", line)][1:]
            if line.startswith("  count"):
                starts = found
            elif line.startswith("  "):
                assert found == starts, (name, line)


@pytest.mark.parametrize("kind", ["triplet", "roll", "tremolo", "ghost", "chuck", "pinch", "split"])
def test_the_right_hand_has_its_whole_vocabulary(kind: str) -> None:
    cells = [cell for name in NAMES for bar in load_strum(name).bars for cell in bar.cells]
    if kind == "triplet":
        assert any(cell.at.denominator == 3 for cell in cells)
    elif kind == "split":
        assert any(cell.kind == "strum" and cell.strings for cell in cells)
    else:
        assert any(cell.kind == kind for cell in cells)


# --- refused ---------------------------------------------------------------------------------

HEAD = 'title = "T"\nwhen = "W."\nmeter = "4/4"\n'


def pattern_of(body: str, head: str = HEAD) -> StrumPattern:
    data = read_pattern_text("strum", "mine", "patterns/strum/mine.toml", head + body)
    return strum_pattern(data)


def bar(hand: str, count: str = "1 & 2 & 3 & 4 &", more: str = "") -> str:
    return f'[[bars]]\ncount = "{count}"\nhand = "{hand}"\n{more}'


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (bar("D . D . D .", "1 & 2 & 3 &"), "bars[0].count does not fill the bar: 3 of 4 beats"),
        (bar("D . D . U . D ."), "bars[0].hand[4] strums up on a down beat; write U!"),
        (bar("D . D . DU . D ."), "bars[0].hand[4] moves both ways at once: 'DU'"),
        (bar("D . D . D . D"), "bars[0].hand must have 8 cells like its count, got 7"),
        (bar("D . D . Q . D ."), "bars[0].hand[4] must start with one of"),
        (bar("D . D . D* . D ."), "bars[0].hand[4] may end with"),
        (bar("D . D . D44 . D ."), "bars[0].hand[4] must name each string once"),
        (bar("D . D . 9 . D ."), "bars[0].hand[4] must name each string once"),
        (bar("- . . . . . . ."), "bars[0].hand needs at least one stroke"),
        (bar("D? . . . . . . ."), "bars[0].hand needs at least one stroke"),
        (bar("D . . D u u D", "1 2 & 3 trip & 4"),
         "bars[0].count mixes triplets with & e a inside beat 3"),
        (bar("D u u . D . D", "1 trip & 2 & 3 4"),
         "bars[0].count mixes triplets with & e a inside beat 1"),
        (bar("D D u u D . D", "1 2 trip & 3 & 4"),
         "bars[0].count mixes triplets with & e a inside beat 2"),
        (bar("D . D . D . D .", "1 & 2 & 4 & 3 &"), "bars[0].count[4] must be count 3 of 4/4"),
        (bar("D . D . D . D .", "1 & & 2 3 & 4 &"), "bars[0].count[2] does not come after"),
        (bar("D D D D D", "1 2 3 4 5"), "bars[0].count[4] must be the end of the bar of 4/4"),
        (bar("D . D . D . D .", "& 1 2 & 3 & 4 &"), "bars[0].count[0] must be a count"),
        (bar("D . D . D . D .", more='place = "sometimes"\n'), "bars[0].place must be one of"),
        (bar("D . D . D . D .", more='plaice = "any"\n'), "unknown key 'bars[0].plaice'"),
        (bar("D . D . D . D .", more='place = "any"\n'), 'bars needs at least one bar with place'),
        ("", "bars must be a list of tables"),
        ("bars = [3]\n", "bars[0] must be a table, got 3"),
        ("damp = 2\n" + bar("D . D . D . D ."), "damp must be a number from 0 to 1, got 2"),
        ("damp = true\n" + bar("D . D . D . D ."), "damp must be a number from 0 to 1, got True"),
        ("tempo = 3\n" + bar("D . D . D . D ."), "unknown key 'tempo'"),
        ('feel = "wobbly"\n' + bar("D . D . D . D ."), "feel must be one of swing, straight"),
        ("[[bars]]\ncount = 4\nhand = 4\n", "bars[0].count must be a text"),
        ('[[bars]]\ncount = "1 2 3 4"\n', "bars[0].hand must be a text"),
        ("x = = 1\n", "not TOML"),
    ],
)  # fmt: skip
def test_a_broken_pattern_is_refused_by_file_and_place(body: str, said: str) -> None:
    with pytest.raises(PatternError) as caught:
        pattern_of(body)
    assert str(caught.value).startswith("patterns/strum/mine.toml: ")
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (HEAD.replace('title = "T"\n', ""), "title is missing"),
        (HEAD.replace('"W."', '""'), "when must be a text"),
        (HEAD.replace("4/4", "4/3"), "meter must be a meter such as 4/4"),
        (HEAD.replace("4/4", "four"), "meter must be a meter such as 4/4"),
        (HEAD.replace("4/4", "17/4"), "meter must be a meter such as 4/4 or 6/8, got '17/4'"),
    ],
)
def test_a_broken_head_is_refused(head: str, said: str) -> None:
    with pytest.raises(PatternError, match=re.escape(said)):
        pattern_of(bar("D . D . D . D ."), head)


def test_up_on_a_down_beat_is_played_when_asked() -> None:
    cells = pattern_of(bar("D . U! . D . D .")).bars[0].cells
    assert (cells[1].at, cells[1].direction) == (1, "up")


def test_a_chuck_is_as_loud_as_a_light_stroke_and_louder_than_a_ghost() -> None:
    # common practice, no source
    loudness = {sign: loud for sign, (_, _, loud) in SIGNS.items()}
    assert loudness["g"] < loudness["u"] < loudness["d"] < loudness["x"] < loudness["D"] < 1


def test_in_six_eight_only_one_and_four_are_down_beats() -> None:
    head = HEAD.replace("4/4", "6/8")
    assert pattern_of(bar("D u D D u D", "1 2 3 4 5 6"), head)
    with pytest.raises(PatternError, match=r"hand\[3\] strums up on a down beat"):
        pattern_of(bar("D u D U d u", "1 2 3 4 5 6"), head)


def test_cells_say_what_their_signs_mean() -> None:
    cells = (
        pattern_of(bar("D>43 . d'21 u? 41 x R U+".replace(">43", "43>").replace("'21", "21'")))
        .bars[0]
        .cells
    )
    first, light, filler, pinch, chuck, roll, ahead = cells
    assert (first.strings, first.loudness > 0.7) == ((4, 3), True)
    assert light.is_short
    assert light.loudness < first.loudness
    assert (filler.is_filler, filler.direction) == (True, "up")
    assert (pinch.kind, pinch.strings) == ("pinch", (4, 1))
    assert (chuck.kind, chuck.direction) == ("chuck", "up")
    assert roll.kind == "roll"
    assert ahead.is_ahead


# --- finding -----------------------------------------------------------------------------------


def test_names_are_forgiving_and_a_wrong_one_gets_a_suggestion() -> None:
    assert load_pattern_data("strum", "Late Charleston").name == "late_charleston"
    with pytest.raises(OptionError, match="did you mean 'charleston'"):
        load_strum("charlston")


@pytest.mark.parametrize("name", ["../bass/walk", "/etc/passwd", "", "..", "four.toml", "a\x00b"])
def test_a_name_never_leaves_the_folder(name: str) -> None:
    with pytest.raises(OptionError, match="unknown strum pattern"):
        load_strum(name)


def test_a_strum_in_the_wrong_meter_names_the_ones_that_fit() -> None:
    with pytest.raises(OptionError, match=r"charleston is written in 4/4.* 3/4 .*waltz"):
        strum_for("charleston", Meter(3, 4))


@pytest.mark.parametrize("meter", [*DEFAULT_STRUMS, "5/4", "7/8", "9/8", "3/8", "1/4", "15/8"])
def test_every_meter_has_a_strum_that_fits(meter: str) -> None:
    count, unit = map(int, meter.split("/"))
    pattern = strum_for(None, Meter(count, unit))
    assert pattern.meter == Meter(count, unit)
    for one in pattern.bars:
        assert one.cells
        assert all(0 <= cell.at < pattern.meter.bar_beats for cell in one.cells)


def test_counts_fall_where_players_say_them() -> None:
    data = PatternData("x.toml", {}, kind="strum", name="x")
    places = parse_count(data, "count", "1 e & a 2 trip let", Meter(2, 4))
    assert [str(at) for at in places] == ["0", "1/4", "1/2", "3/4", "1", "4/3", "5/3"]
    eighths = parse_count(data, "count", "1 2 & 3 4 5 6", Meter(6, 8))
    assert [str(at) for at in eighths] == ["0", "1/2", "3/4", "1", "3/2", "2", "5/2"]


def test_patterns_are_found_inside_a_zip(tmp_path: Path, root: Path) -> None:
    archive = tmp_path / "packed.zip"
    package = root / "engine" / "porchswing"
    with zipfile.ZipFile(archive, "w") as packed:
        for source in package.rglob("*.py"):
            packed.write(source, "porchswing/" + source.relative_to(package).as_posix())
        for source in (root / "patterns").rglob("*.toml"):
            packed.write(
                source, "porchswing/patterns/" + source.relative_to(root / "patterns").as_posix()
            )
    code = (
        f"import sys; sys.path.insert(0, {str(archive)!r})\n"
        "import porchswing\n"
        "from porchswing.rhythm.patterns import pattern_names\n"
        "from porchswing.rhythm.strum import load_strum\n"
        "assert '.zip' in porchswing.__file__\n"
        "print(len([load_strum(name) for name in pattern_names('strum')]))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.stdout.strip() == str(len(NAMES)), done.stderr


def test_the_readme_shows_patterns_that_work_and_errors_that_are_said(root: Path) -> None:
    text = (root / "patterns" / "README.md").read_text(encoding="utf-8")
    first = text.split("```toml\n")[1].split("```")[0]
    assert (
        strum_pattern(read_pattern_text("strum", "mine", "mine.toml", first)).title == "Charleston"
    )
    said = text.split("## What is refused")[1].split("```")[1].strip()
    with pytest.raises(PatternError) as caught:
        pattern_of(bar("D . D . U . D ."))
    assert str(caught.value) == said
    for sign in SIGNS:
        assert f"`{sign}`" in text


_PIECES = st.sampled_from(
    (
        "title = ", '"x"', "when = ", "meter = ", '"4/4"', '"6/8"', "[[bars]]", "count = ",
        "hand = ", "\n", "1 & 2 & 3 & 4 &", '"', "D . D . D . D .", "= ", "[", "9" * 5000,
        "[" * 3000, "feel = ", "damp = ", "1e999", "nan", "true", "D4>!", "'", "DU",
    )
)  # fmt: skip


@given(st.lists(_PIECES | st.text(max_size=5), max_size=30).map("".join))
def test_any_text_is_a_pattern_or_a_pattern_error(text: str) -> None:
    with contextlib.suppress(PatternError):
        strum_pattern(read_pattern_text("strum", "mine", "mine.toml", text))


@given(st.text("DUdugxRT0123456789>'+?!.-é*", max_size=6), st.text("1234&eatriplet ", max_size=20))
def test_any_cell_and_count_is_read_or_refused(sign: str, count: str) -> None:
    body = bar(f"D . {sign or '.'} . D . D .") + bar("D", count)
    with contextlib.suppress(PatternError):
        pattern_of(body)
