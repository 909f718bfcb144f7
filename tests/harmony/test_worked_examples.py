"""The trade's own examples, in C: common practice, no single source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import OptionError
from porchswing.harmony.analysis.review import review
from porchswing.harmony.choice.reharmonize import alternatives, reharmonize
from support.lanes import lane_text, short_chart, swung

EXAMPLES = (
    ("tritone substitution", "| Dm7 G7 | C6 |", "Dm7 Db7 | C6"),
    ("tritone substitution", "| Dm7 | G7 | C6 | % |", "Dm7 | Db7 | C6 | C6"),
    ("tritone substitution", "| G7 | Am7 |", "G7 | Am7"),
    ("passing diminished up", "| C6 | Dm7 |", "C6 C#dim7 | Dm7"),
    ("passing diminished down", "| Em7 | Dm7 |", "Em7 Ebdim7 | Dm7"),
    ("♯IV° to I", "| F6 | C6 |", "F6 F#dim7 | C6"),
    ("♯IV° to I", "| F7 | % | C7 | C7 |", "F7 | F#dim7 | C7 | C7"),
    ("minor iv", "| F | C |", "F Fm6 | C"),
    ("related ii", "| G7 | C6 |", "Dm7 G7 | C6"),
    ("related ii", "| A7 | Dm7 |", "Em7b5 A7 | Dm7"),
    ("related ii", "| A7 | % | D7 | % | G7 |", "Em7 | A7 | Am7 | D7 | Dm7 G7"),
    ("related ii", "| Dm7 G7 | C6 |", "Dm7 G7 | C6"),
    ("related ii", "| Dm7 | G7 | C6 |", "Dm7 | G7 | C6"),
    ("related ii", "| G7 | % | % | % | C6 |", "Dm7 | G7 | Dm7 | G7 | C6"),
    ("related ii", "| A7 | % | % | Dm |", "A7 | Em7b5 | A7 | Dm"),
    ("turnaround I V7", "| C | C7 | F | % |", "C | C7 | F | F"),
    ("turnaround I V7", "| C7 | C7/Bb | F7 | % |", "C7 | C7/Bb | F7 | F7"),  # I is held over a bass
    ("extended dominant chain", "| Em7 Am7 | Dm7 G7 | C |", "E7 A7 | D7 G7 | C"),
    ("backdoor ♭VII7", "| Dm7 G7 | C6 |", "Dm7 Bb7 | C6"),
    ("minor line cliché", "| Cm | % |", "Cm CmMaj7 | Cm7 Cm6"),
    ("side-slip", "| C6 | A7 |", "C6:3 Bb7:1 | A7"),
    ("I7 into IV", "| C6 | F6 |", "C6 C7 | F6"),
    ("rootless 7♭9 as diminished", "| E7 | Am |", "E7 G#dim7 | Am"),
)


@pytest.mark.parametrize(("name", "plain", "swing"), EXAMPLES)
def test_one_swap_by_itself(name: str, plain: str, swing: str) -> None:
    assert swung(plain, [name], tempo=100) == swing


def test_backdoor_with_its_ninth() -> None:
    assert swung("| G7 | C6 |", ["backdoor ♭VII7", "dominant ninth"]) == "Bb9 | C6"


def test_a_minor_third_in_the_melody_keeps_a_chord_out_of_the_chain() -> None:
    bars, tune = "| Em7 Am7 | Dm7 G7 | C |", "| G4:2 E4:2 | F#4:2 D4:2 | C4:4 |"
    chart = short_chart(bars, melody=tune)
    lead = reharmonize(chart, 0, use=["extended dominant chain"])
    assert lane_text(lead) == "Em7 A7 | D7 G7 | C"
    assert "a semitone below G#, the 3 of E7" in lead.blocked[0].reason


def test_related_ii_then_tritone() -> None:
    swaps = ["related ii", "tritone substitution"]
    lead = reharmonize(short_chart("| G7 | C6 |"), 3, use=swaps)
    chords = lane_text(lead).split()
    assert chords[0].startswith(("Dm7", "Abm7"))
    assert chords[-1] in ("C6", "C6/9")


def test_no_four_changes_a_bar_at_240() -> None:
    for depth in range(5):
        for bars in ("| C | Am | Dm | G7 |", "| C C7 | F Fm | C G7 | C |", "| G7 | C | G7 | C |"):
            lead = reharmonize(short_chart(bars, tempo=240), depth)
            for bar in lead.chart.section("A").lane("swing"):
                assert all(slot.beats >= 2 for slot in bar.slots)


def test_a_tempo_line_counts_as_well() -> None:
    """A side-slip lasts one beat: 0.6 s at 100 is playable, a quarter of a second is not."""
    chart = short_chart("| C6 | A7 |", tempo=100)
    assert lane_text(reharmonize(chart, 0, use=["side-slip"])) == "C6:3 Bb7:1 | A7"
    fast = short_chart("| C6 |\ntempo: 240\nplain | A7 |", tempo=100)
    assert lane_text(reharmonize(fast, 0, use=["side-slip"])) == "C6 | A7"


def test_a_blues_at_depth_two() -> None:
    plain = "| C7 | F7 | C7 | % | F7 | % | C7 | A7 | Dm | G7 | C7 A7 | Dm G7 |"
    assert swung(plain, depth=2, tempo=112, ending="| C7 |") == (
        "C9 | F9 F#dim7 | C9 | Gm7 C9 | F9 | F#dim7 | C9 | Em7b5 A7b9 | Dm7 | G9 | C9 A9 | Dm7 G9"
    )


def test_minor_keeps_its_own_colours() -> None:
    lane = swung("| Am | Dm | E7 | Am |", depth=1, key="A minor")
    assert lane == "Am6 | Dm6 | E7b9 | Am6"


def test_locked_bars_grips_and_marks_stay() -> None:
    chart = short_chart("| C6@5-7-5-7 | Dm | G7{hold} | C |")
    swing = reharmonize(chart, 4).chart.section("A").lane("swing")
    assert swing[0].slots == chart.section("A").plain[0].slots
    assert swing[2].slots[0].marks == ("hold",)
    assert swing[2].slots[0].beats == 4
    locked = reharmonize(chart, 4, locked=[("A", 2)])
    assert locked.chart.section("A").lane("swing")[1].slots == chart.section("A").plain[1].slots


def test_a_handwritten_swing_lane_stays() -> None:
    chart = short_chart("| C | Dm |\nswing | C6 | Dm9 |")
    lead = reharmonize(chart, 4)
    assert lead.chart.sections == chart.sections
    assert {swap.name for swap in lead.swaps} <= {"tonic sixth", "minor ninth", "your own"}


def test_like_sections_stay_alike_unless_told_otherwise() -> None:
    text = short_chart("| C | Am | Dm | G7 |")
    section = text.section("A")
    chart = replace(
        text,
        sections=(section, replace(section, name="B"), replace(section, name="C")),
        form=("A", "B", "C", "A"),
    )
    lead = reharmonize(chart, 3)
    lanes = {lane_text(lead, name) for name in "ABC"}
    assert len(lanes) == 1
    further = reharmonize(chart, 2, further=True)
    assert further.chart.form == ("A", "B", "C", "A2")
    assert lane_text(further, "A2") != lane_text(further, "A")


def test_alternatives_differ_and_the_best_comes_first() -> None:
    chart = short_chart("| C | Am | Dm | G7 | C C7 | F Fm | C G7 | C |")
    found = alternatives(chart, 4, 3)
    assert len({lane_text(lead) for lead in found}) == len(found) == 4
    assert found[0] == reharmonize(chart, 3)
    assert found[0].points >= max(lead.points for lead in found[1:]) - 2.0


@pytest.mark.parametrize(
    "wrong",
    [{"depth": 5}, {"depth": -1}, {"use": ["no such swap"]}, {"avoid": ["tritone"]}],
)
def test_wrong_wishes_are_told(wrong: dict[str, object]) -> None:
    with pytest.raises(OptionError):
        reharmonize(short_chart("| C |"), **wrong)  # type: ignore[arg-type]


def test_a_swap_both_wanted_and_not() -> None:
    with pytest.raises(OptionError, match="named by both --swap and --no-swap"):
        reharmonize(short_chart("| C |"), use=["related ii"], avoid=["related-ii"])


def test_no_swap_comes_between_a_chord_and_the_step_that_leaves_it() -> None:
    chart = parse_chart(
        "meter: 3/4\ntempo: 60\nform: B B B A\nending: C\n"
        "[A]\n| C | Am | Dm | G7 |\n| C | C | C | C |\n"
        "[B]\n|: F | F | C | C |\n| G7 | G7 | C | C :|\n"
        "[C]\n|: Em7 | Em7 | Em7 | C7 :|\n"
    )
    swung_chart = reharmonize(chart, 3).chart
    doubts = [problem.message for problem in review(swung_chart)]
    assert not [doubt for doubt in doubts if "does not do what" in doubt]
