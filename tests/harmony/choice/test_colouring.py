"""Plain ninths stay within their share of the dominants, and only what is over it is priced."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.harmony.choice.colouring import LEAP, LINE, Worn, choose_colours, choose_within
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.harmony.choice.styles import NINTHS
from porchswing.harmony.passage.flow import flow_of, passage
from porchswing.harmony.passage.steps import Passage, Step
from porchswing.harmony.swaps.catalogue import rows_for
from porchswing.theory.symbols import parse_chord

BARS = "| G7 | Am | G7 | Am | G7 | Am | G7 | Am |"


def part() -> Passage:
    chart = parse_chart(f"key: C\n[A]\n{BARS}\n")
    return passage(chart, ("A",), range(8), flow_of(chart))


def options(ninths: int) -> list[list[Worn]]:
    """Return ways to wear the chords; the first dominants may be ninths, worth a little more."""

    def ninth(step: Step) -> Worn:
        return Worn(step._replace(chord=parse_chord("G9")), 1.1)

    found = [[Worn(step, 1.0)] for step in part().steps]
    for ways in found[: 2 * ninths : 2]:
        ways.append(ninth(ways[0].step))
    return found


def worn(steps: tuple[Step, ...]) -> list[str]:
    return [step.suffix for step in steps if step.family == "dominant"]


def test_ninths_that_have_room_keep_what_they_are_worth() -> None:
    free = choose_colours(part(), options(2))
    assert worn(free) == ["9", "9", "7", "7"]
    assert choose_within(part(), options(2), 0.5) == free


def test_ninths_over_their_share_give_way() -> None:
    assert worn(choose_colours(part(), options(4))) == ["9"] * 4
    assert worn(choose_within(part(), options(4), 0.5)).count("9") <= 2
    assert worn(choose_within(part(), options(4), 1.0)) == ["9"] * 4


@pytest.mark.parametrize("depth", [3, 4])
@pytest.mark.parametrize("bars", [BARS, "| C7 | F7 | Bb7 | Eb7 |" * 2], ids=["parted", "in a row"])
def test_ninths_keep_their_share_where_no_other_colour_is_offered(bars: str, depth: int) -> None:
    others = [row.name for row in rows_for(depth) if row.name != "dominant ninth"]
    chart = parse_chart(f"key: C\n[A]\n{bars.replace('||', '|')}\n")
    lane = reharmonize(chart, depth, avoid=others).chart.sections[0].lane("swing")
    chords = [slot.chord for bar in lane for slot in bar.slots if slot.chord]
    dominants = [one.quality.suffix for one in chords if one.quality.family == "dominant"]
    assert dominants.count("9") <= max(1, NINTHS[depth] * len(dominants))


def test_a_line_that_moves_by_step_or_stays_is_worth_more_than_one_that_leaps():
    steps = (0, 1, 2, 10, 11)  # semitones upward: held, a step up, a step down
    assert min(LINE[step] for step in steps) > 0 > LEAP
    assert max(LINE, key=LINE.get) == 11, "falling by a semitone is best"
