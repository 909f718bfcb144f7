"""The ``reharm`` command and the words it prints."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from porchswing.chart.language.reader import read_chart
from porchswing.cli.main import group
from porchswing.cli.tune.reharm import command
from porchswing.harmony.analysis.explain import bars_json, explained
from porchswing.harmony.choice.reharmonize import reharmonize
from support.lanes import short_chart

TUNE = """title: Any Old Porch
key: C
tempo: 110
form: A B A
[A]
| C Am | Dm G7 | C | % |
[B]
| A7 | % | D7 | G7 |
"""


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    path = tmp_path / "tune.changes"
    path.write_text(
        "title: Any Old Porch\nkey: C\ntempo: 110\nform: A B A\n[A]\n| C Am | Dm G7 | C | % |\n"
        "[B]\n| A7 | % | D7 | G7 |\n",
        encoding="utf-8",
    )
    return path


def run(*args: object) -> str:
    result = CliRunner().invoke(command, [str(arg) for arg in args], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_both_lanes_in_aligned_bars(tune: Path) -> None:
    lines = run(tune).splitlines()
    rows = [line for line in lines if line.startswith((" plain", " swing", " reads"))]
    assert len(rows) == 6
    for plain, swing, reads in (rows[:3], rows[3:]):
        bars = [[i for i, sign in enumerate(row) if sign == "|"] for row in (plain, swing, reads)]
        assert bars[0] == bars[1] == bars[2]
    assert "Any Old Porch, in C" in lines


def test_a_swap_is_told_with_what_stays_and_what_moves() -> None:
    lead = reharmonize(short_chart("| Dm7 G7 | C6 |"), 0, use=["tritone substitution"])
    text = explained(lead)
    assert "tritone substitution, bar 1 beat 3: G7 -> Db7; guide tones B F stay" in text
    assert "D goes to Db" in text
    assert text.count("The dominant a tritone away") == 1
    assert "Listen:" in text
    assert str(lead).splitlines()[1:] == ["[A] | Dm7 Db7 | C6 |", "1 swaps"]


def test_a_reason_is_told_once(tune: Path) -> None:
    text = run(tune)
    for reason in ("The ninth sweetens", "The sixth is the swing player's"):
        assert text.count(reason) == 1


def test_what_the_melody_forbids_is_told() -> None:
    chart = short_chart("| Dm7 G7 | C6 |", melody="| r:2 A4:2 | r:4 |")
    text = explained(reharmonize(chart, 0, use=["tritone substitution"]))
    assert "bar 1: no tritone substitution: the melody note lies a semitone above Ab" in text


def test_json_has_the_shape_programs_rely_on(tune: Path) -> None:
    told = json.loads(run(tune, "--json", "--depth", 3))
    assert {(bar["section"], bar["bar"]) for bar in told["bars"]} == {
        (name, number) for name in "AB" for number in range(1, 5)
    }
    for bar in told["bars"]:
        assert {"section", "bar", "plain", "swing", "swaps"} <= set(bar)
        assert sum(bar["plain_beats"]) == sum(bar["swing_beats"]) == 4
        assert all({"name", "reason"} <= set(swap) for swap in bar["swaps"])
    assert all({"section", "of", "bars"} <= set(last) for last in told["last"])
    assert told == bars_json(reharmonize(read_chart(tune), 3))


def test_written_chart_reads_back_to_the_same_lanes(tune: Path, tmp_path: Path) -> None:
    out = tmp_path / "new" / "both.changes"
    assert run(tune, "-o", out, "--depth", 3).endswith(f"\nwrote {out}\n")
    lead = reharmonize(read_chart(tune), 3)
    back = read_chart(out)
    assert back.sections == lead.chart.sections
    assert reharmonize(back, 4).chart.sections == lead.chart.sections, "now handwritten"


def test_a_section_written_anew_stands_apart_from_the_header(tmp_path: Path) -> None:
    source, out = tmp_path / "tight.changes", tmp_path / "out.changes"
    source.write_text("title: Tight\n[A]\n| C | G7 |\n# softer\n[B]\n| F | C |\n", "utf-8")
    run(source, "-o", out)
    text = out.read_text("utf-8")
    assert "\n\n[A]\n" in text
    assert "\n# softer\n[B]\n" in text, "a comment stays with what it is about"
    run(out, "-o", tmp_path / "again.changes")
    assert (tmp_path / "again.changes").read_text("utf-8") == text


@pytest.mark.parametrize("line", ["strum: swing", "bass: swing", "[A]\nstrum: swing"])
def test_an_unknown_pattern_is_refused_as_render_refuses_it(tmp_path: Path, line: str) -> None:
    chart = tmp_path / "odd.changes"
    body = line if line.startswith("[") else f"{line}\n[A]"
    chart.write_text(f"{body}\n| C | G7 |\n", "utf-8")
    said = [
        CliRunner().invoke(group, [*words, str(chart)])
        for words in (["reharm"], ["render", "-o", str(tmp_path / "x.mid")])
    ]
    assert [done.exit_code for done in said] == [1, 1]
    assert said[0].stderr == said[1].stderr
    assert "pattern 'swing'; known: " in said[0].stderr


def test_further_writes_a_section_of_its_own(tune: Path, tmp_path: Path) -> None:
    out = tmp_path / "further.changes"
    run(tune, "-o", out, "--further", "-q")
    chart = read_chart(out)
    assert chart.form == ("A", "B", "A2")
    assert chart.section("A2").plain == chart.section("A").plain


def test_locks_swaps_and_alternatives(tune: Path) -> None:
    assert json.loads(run(tune, "--json", "--lock", "B:1", "--lock", "B:2"))["bars"][4][
        "swing"
    ] == ["A7"]
    only = json.loads(run(tune, "--json", "--depth", 0, "--swap", "Related II"))
    assert {s["name"] for bar in only["bars"] for s in bar["swaps"]} == {"related ii"}
    without = json.loads(run(tune, "--json", "--no-swap", "related-ii"))
    assert "related ii" not in {s["name"] for bar in without["bars"] for s in bar["swaps"]}
    several = json.loads(run(tune, "--json", "--alternatives", 3))["alternatives"]
    lanes = [[bar["swing"] for bar in lead["bars"]] for lead in several]
    assert len(lanes) == 3
    assert lanes[0] != lanes[1] != lanes[2] != lanes[0]
    shown = run(tune, "--alternatives", 3)
    assert [f"lane {place} of 3: " in shown for place in (1, 2, 3)] == [True] * 3
    assert "lane 1 of" not in run(tune)


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (["--swap", "tritone"], "did you mean 'tritone substitution'"),
        (["--no-swap", "trytone"], "did you mean 'tritone substitution'"),
        (["--no-swap", "bakdoor"], "did you mean 'backdoor"),
        (["--lock", "B"], "a section and a bar from 1"),
        (["--lock", "B:0"], "a section and a bar from 1"),
        (["--lock", "Z:1"], "unknown section 'Z'"),
        (["--lock", "A:9"], "has 4 bars"),
    ],
)
def test_wrong_wishes_end_in_one_sentence(tune: Path, args: list[str], message: str) -> None:
    result = CliRunner().invoke(command, [str(tune), *args])
    assert result.exit_code == 1
    assert message in result.output
    assert "Traceback" not in result.output


def test_a_chart_without_a_key_is_moved_from_the_key_it_is_heard_in(tmp_path: Path) -> None:
    chart = tmp_path / "untold.changes"
    chart.write_text("[A]\n| Bb | Gm7 | Cm7 | F7 | Bb | Eb | F7 | Bb |\n", encoding="utf-8")
    told = run(chart, "--key", "C", "--depth", 0)
    assert told.startswith("no key: is written; the changes sound in Bb\n")
    assert " plain | C | Am7 | Dm7 | G7 |" in told
    chart.write_text("key: Bb\n" + chart.read_text(encoding="utf-8"), encoding="utf-8")
    assert "no key" not in run(chart, "--key", "C", "--depth", 0)


def test_offers_for_one_bar(tune: Path) -> None:
    told = json.loads(run(tune, "--at", "A:2", "--alternatives", 8, "--json"))
    assert 1 <= len(told["offers"]) <= 8
    for offer in told["offers"]:
        assert {"symbols", "name", "depth", "reason", "melody", "changes"} <= set(offer)
    assert run(tune, "--at", "A:2", "--alternatives", 2).startswith(" 1. ")
    assert json.loads(run(tune, "--at", "A:2", "--json")) == told  # eight are shown unasked
    assert run(tune, "--at", "A:2", "-q") == ""
    for asked in ("two", "99"):
        told = CliRunner().invoke(group, ["reharm", str(tune), "--alternatives", asked]).stderr
        assert f"must be a whole number from 1 to 20, got '{asked}'" in told
