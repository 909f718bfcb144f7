"""The commands `grips` and `name`, as a player types them."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from porchswing.cli.main import group

BRIDGE = "title: Bridge\nkey: C\nform: A B\n[A]\n| C6 | % |\n[B]\n| E7 | A9 | D7 | G9 |\n"


def run(*words):
    return CliRunner().invoke(group, [str(word) for word in words])


@pytest.fixture
def chart(tmp_path):
    path = tmp_path / "bridge.changes"
    path.write_text(BRIDGE, encoding="utf-8")
    return path


def test_json_has_the_shape_programs_rely_on(chart):
    result = run("grips", chart, "--section", "B", "--depth", "0", "--json")
    assert result.exit_code == 0, result.output
    facts = json.loads(result.stdout)
    assert {"tuning", "cost", "changes", "lines", "moves"} <= facts.keys()
    assert facts["tuning"] == "gCEA"
    assert facts["changes"][0] == {
        "section": "B", "bar": 1, "beat": 1, "symbol": "E7", "frets": [7, 8, 7, 7],
        "midi": [74, 68, 71, 76], "fingers": [1, 2, 1, 1], "locked": False,
    }  # fmt: skip
    assert facts["lines"]["4"] == ["D5", "C#5", "C5", "B4"]
    assert facts["line_facts"]["4"] == {
        "direction": "down", "steps_down": 3, "steps_up": 0, "held": 0, "leaps": 0
    }  # fmt: skip
    assert {"from", "to", "frets", "fingers", "cost"} <= facts["moves"][0].keys()
    assert [(move["from"], move["to"]) for move in facts["moves"]] == [(0, 1), (1, 2), (2, 3)]
    assert facts["best_lines"]["B"] == "string 4 falls by semitones, D to B"


def test_text_shows_grips_lines_and_hard_changes(chart):
    result = run("grips", chart, "--depth", "0")
    assert result.exit_code == 0, result.output
    assert "E7 7877" in result.stdout
    assert "string 4 falls by semitones, D to B" in result.stdout
    assert "hardest changes" in result.stdout
    assert all(len(line) <= 80 for line in result.stdout.splitlines())


def test_best_keys_and_offers(chart):
    ways = json.loads(run("grips", chart, "--best", "3", "--json").stdout)["ways"]
    assert [way["cost"] for way in ways] == sorted(way["cost"] for way in ways)
    keys = json.loads(run("grips", chart, "--keys", "--json").stdout)["keys"]
    assert len({row["key"] for row in keys}) == 12
    assert [row["cost"] for row in keys] == sorted(row["cost"] for row in keys)
    offered = json.loads(run("grips", chart, "--offer", "7|9", "--line", "4:down", "--json").stdout)
    assert offered["lines"]["4"]


def test_where_no_other_way_differs_enough_it_is_said(chart, tmp_path):
    locked = tmp_path / "locked.changes"
    locked.write_text("[A]\n| C6@9-9-8-10 | A7@9-9-9-10 |\n", encoding="utf-8")
    said = run("grips", locked, "--best", "3").stdout
    assert "no other way differs in a tenth of its grips" in said
    assert "no other way" not in run("grips", chart, "--best", "3").stdout


def test_a_key_a_window_and_a_hand(chart, tmp_path):
    hand = tmp_path / "hand.toml"
    hand.write_text("[limits]\nmax_stretch = 2\n", encoding="utf-8")
    result = run("grips", chart, "--key", "D", "--frets", "4-10", "--ease", hand, "--json")
    facts = json.loads(result.stdout)
    frets = [fret for change in facts["changes"] for fret in change["frets"]]
    assert min(frets) >= 4
    assert max(frets) <= 10
    assert facts["changes"][-1]["symbol"] == "A9"


def test_pictures_appear_and_are_replaced_only_when_ours(chart, tmp_path):
    folder = tmp_path / "svg"
    first = run("grips", chart, "--depth", "0", "--svg", folder)
    assert first.exit_code == 0, first.output
    assert (folder / "E7_7877.svg").read_text(encoding="utf-8").startswith("<svg")
    assert (folder / "section_B.svg").exists()
    assert run("grips", chart, "--depth", "0", "--svg", folder).exit_code == 0
    (folder / "E7_7877.svg").write_text("mine", encoding="utf-8")
    refused = run("grips", chart, "--depth", "0", "--svg", folder)
    assert refused.exit_code == 1
    assert (folder / "E7_7877.svg").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--section", "Z"], "Z"),
        (["--tuning", "lute"], "unknown tuning"),
        (["--frets", "1-2"], "no closed grip"),
        (["--ease", "nobody"], "cannot read the hand profile"),
        (["--offer", "E7"], "two chords or more"),
        (["--line", "5"], "no string 5"),
    ],
)
def test_errors_are_one_paragraph(chart, words, message):
    result = run("grips", chart, *words)
    assert result.exit_code == 1
    assert message in result.stderr
    assert "Traceback" not in result.output
    told = json.loads(run("grips", chart, *words, "--json").stdout)
    assert message in told["errors"][0]["message"] + told["errors"][0]["hint"]


def test_each_pass_and_muted_strings(tmp_path):
    path = tmp_path / "tune.changes"
    path.write_text("form: A A\n[A]\n| E7 | A9 |\n", encoding="utf-8")
    told = json.loads(run("grips", path, "--depth", "0", "--each-pass", "--json").stdout)
    assert [change["pass"] for change in told["changes"]] == [1, 1, 2, 2]
    tied = json.loads(run("grips", path, "--depth", "0", "--json").stdout)
    assert len(tied["changes"]) == 2
    muted = run("grips", path, "--depth", "0", "--mutes", "--tuning", "guitar", "--json")
    frets = [fret for change in json.loads(muted.stdout)["changes"] for fret in change["frets"]]
    assert None in frets


def test_the_report_says_what_became_of_the_line_asked_for(chart):
    text = run("grips", chart, "--depth", "0", "--line", "4:down", "--section", "B").stdout
    assert "the line asked for: string 4 falls by semitones, D to B" in text
    assert "the line to hear" not in text
    vain = run("grips", chart, "--depth", "0", "--line", "2:up", "--section", "A").stdout
    assert "the line asked for: string 2 carries no rising line here" in vain
    facts = json.loads(run("grips", chart, "--depth", "0", "--line", "4:down", "--json").stdout)
    assert facts["asked_lines"]["B"] == "string 4 falls by semitones, D to B"


def test_keys_say_what_their_figures_are(chart):
    first = run("grips", chart, "--keys").stdout.splitlines()[0]
    assert "easiest first" in first


def test_a_section_for_the_last_time_says_whose_place_it_takes(tmp_path):
    path = tmp_path / "tune.changes"
    path.write_text("form: A-last\n[A]\n| F | C7 |\n[A-last]\n| F | F |\n", encoding="utf-8")
    shown = run("grips", path, "--depth", "0").stdout.splitlines()
    assert "[A-last]  the last time, for [A]" in shown


def test_a_section_outside_the_form_has_its_moves(tmp_path):
    path = tmp_path / "tune.changes"
    path.write_text("form: A\n[A]\n| C6 |\n[Vamp]\n| D9 | G7 |\n", encoding="utf-8")
    facts = json.loads(run("grips", path, "--section", "Vamp", "--depth", "0", "--json").stdout)
    assert len(facts["moves"]) == 1


@pytest.mark.parametrize(
    ("text", "place"),
    [("tuning: foo\n[A]\n| C |\n", (1, 9)), ("key: C\n[A]\n| C@777 |\n", (3, 3))],
)
def test_check_calls_wrong_what_render_refuses(tmp_path, text, place):
    path = tmp_path / "tune.changes"
    path.write_text(text, encoding="utf-8")
    checked = run("check", path, "--json")
    assert checked.exit_code == 1
    (error,) = json.loads(checked.stdout)["errors"]
    assert (error["line"], error["column"]) == place
    assert run("render", path, "-o", tmp_path / "out.mid").exit_code == 1


def test_a_wrong_window_is_wrong_usage(chart):
    assert run("grips", chart, "--frets", "x").exit_code == 2


def test_name_has_the_shape_programs_rely_on():
    facts = json.loads(run("name", "9-10-10-10", "--tuning", "gCEA", "--json").stdout)
    assert facts["frets"] == [9, 10, 10, 10]
    assert facts["tuning"] == "gCEA"
    assert facts["notes"] == ["E5", "Bb4", "D5", "G5"]
    assert facts["midi"] == [76, 70, 74, 79]
    first = facts["readings"][0]
    assert (first["symbol"], first["rootless"], first["missing"]) == ("C9", True, ["root"])
    assert isinstance(first["score"], int)


def test_name_by_what_follows():
    facts = json.loads(run("name", "6777", "--before", "D", "--json").stdout)
    assert facts["readings"][0]["symbol"] == "A9"


def test_name_tells_a_slip():
    result = run("name", "6555")
    assert "DmMaj7" in result.stdout
    assert "for D7 you may mean 5655" in result.stdout


def test_name_knows_other_instruments_and_no_name():
    assert "C/E" in run("name", "032010", "--tuning", "guitar").stdout
    assert run("name", "9", "10", "10", "10").stdout == run("name", "9-10-10-10").stdout
    assert "no chord we know" in run("name", "6-0-9-5").stdout


@pytest.mark.parametrize("words", [["78"], ["7877", "--tuning", "lute"], ["7877", "--before", "Q"]])
def test_name_errors_are_one_paragraph(words):
    result = run("name", *words)
    assert result.exit_code == 1
    assert result.stderr.startswith("porchswing: ")


def test_a_chord_where_a_grip_is_named_is_sent_to_its_grips():
    result = run("name", "C7(b9,#5)")
    assert result.exit_code == 2
    assert "is a chord; its grips: " in result.output
    assert "porchswing grips --chord 'C7(b9,#5)'\n" in result.output
    result = run("grips", "Am7")
    assert (result.exit_code, "Am7 is a chord; its grips: " in result.output) == (2, True)


def test_the_grips_of_one_chord() -> None:
    words = ["grips", "--chord", "Am7", "--grips", "closed", "--max-fret", "7"]
    told = json.loads(CliRunner().invoke(group, [*words, "--json"]).stdout)
    assert [row["frets"] for row in told["grips"]] == [[2, 4, 3, 3], [5, 7, 5, 7]]
    shown = CliRunner().invoke(group, words)
    assert "2433" in shown.stdout
    assert "5757" in shown.stdout
    for wrong in (["grips"], ["grips", "a.changes", "--chord", "C"]):
        result = CliRunner().invoke(group, wrong)
        assert result.exit_code == 2
        assert "give a CHART, or --chord SYMBOL" in result.stderr


def test_a_singer_ranks_keys_and_needs_keys_and_a_melody(tmp_path):
    tune = tmp_path / "tune.changes"
    tune.write_text("key: C\n\n[A]\nplain | C | G7 |\nmelody | C4:4 | E5:4 |\n", encoding="utf-8")
    keys = json.loads(run("grips", tune, "--keys", "--singer", "G3..B4", "--json").stdout)["keys"]
    assert (keys[0]["key"], keys[0]["notes_outside"]) == ("G", 0)
    assert all(row["notes_outside"] for row in keys[1:])
    tune.write_text("range: G3 B4\n" + tune.read_text("utf-8"), encoding="utf-8")
    assert json.loads(run("grips", tune, "--keys", "--json").stdout)["keys"] == keys
    assert run("grips", tune, "--keys").stdout.startswith(
        "the twelve keys, those that the voice can sing first, of them the one that lies easiest"
    )
    other = json.loads(run("grips", tune, "--keys", "--singer", "C3..C6", "--json").stdout)["keys"]
    assert not any(row["notes_outside"] for row in other)
    alone = run("grips", tune, "--singer", "G3..B4")
    assert (alone.exit_code, "add --keys" in alone.output) == (2, True)
    tune.write_text("[A]\n| C | G7 |\n", encoding="utf-8")
    assert run("grips", "--chord", "C6", "--keys", "--singer", "G3..B4").exit_code == 2
    silent = run("grips", tune, "--keys", "--singer", "G3..B4")
    assert (silent.exit_code, "melody lane" in silent.output) == (2, True)
    wrong = run("grips", tune, "--keys", "--singer", "loud")
    assert "A3..D5" in wrong.output


@pytest.mark.parametrize(
    "words",
    [
        ["--keys", "--shapes"],
        ["--keys", "-o", "kept.changes"],
        ["--melody", "--best", "3"],
        ["--shapes", "--svg", "drawn"],
        ["--slides", "0.2", "--said"],
        ["--said", "--json"],
    ],
)
def test_an_option_that_cannot_act_on_what_is_shown_is_refused(chart, words):
    result = run("grips", chart, *words)
    assert result.exit_code == 2
    assert "cannot act here" in result.output
    assert f"leave out {words[0]}" in result.output


@pytest.mark.parametrize("words", [["--keys"], ["--said"], ["-o", "kept.changes"]])
def test_what_one_chord_cannot_have_is_refused(words):
    result = run("grips", "--chord", "Am7", *words)
    assert result.exit_code == 2
    assert "cannot act here" in result.output


@pytest.mark.parametrize(
    "asked", ["", "--shapes", "--keys", "--slides 1", "--said", "--melody", "--best 3"]
)
def test_quiet_says_nothing_whatever_is_asked_for(tmp_path, asked):
    path = tmp_path / "pip.changes"
    path.write_text("[A]\n| C | G7 |\nmelody | E4:4 | D4:4 |\n", encoding="utf-8")
    words = asked.split()
    result = run("grips", path, "-q", *words)
    assert (result.exit_code, result.output) == (0, "")
    assert run("grips", "--chord", "C6", "-q").output == ""
    assert run("grips", path, *words).output != ""


def test_quiet_works_out_nothing_that_nobody_reads(chart, monkeypatch, tmp_path):
    asked = []

    def gains(*_, **__):
        asked.append("gains")
        return ()

    monkeypatch.setattr("porchswing.grips.search.voice.worth_letting_go", gains)
    kept = tmp_path / "kept.changes"
    assert run("grips", chart, "-q", "-o", kept).output == ""
    assert (kept.is_file(), asked) == (True, [])
    assert json.loads(run("grips", chart, "-q", "--json").output)["cost"] > 0
    assert asked == ["gains"]


def test_name_draws_a_grip_for_a_left_handed_player():
    """Each row of the drawing is the usual one from the other side, its digits as they are."""

    def drawn(*words):
        rows = run("name", "3-5-4-x", *words).output.splitlines()[1:7]
        return [row[3:11].split() for row in rows]

    usual, mirrored = drawn(), drawn("--left-handed")
    assert usual != mirrored
    assert [row[::-1] for row in usual] == mirrored
