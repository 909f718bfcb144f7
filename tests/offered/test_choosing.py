"""Choices in a chart's text: a table of cases, and a thousand random ones."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import MARKS, Bar, Chart
from porchswing.errors import ChartError, OptionError
from porchswing.harmony.choice.reharmonize import reharmonize
from porchswing.offered.bar_text import apply_edits
from porchswing.offered.choosing import BarChords, PlaceOffer, choice_edits, choose, slot_at
from support.random_charts import random_chart

TUNE = """# a comment that stays
title:  Two Doors   # not a comment, part of the title
key:    F

[A]
# before the bars
plain | F     | Dm7  | %   | C7 |
swing | F6  | Dm9{slide}  | %   | C9 |~~~
"""
TUNE = TUNE.replace("~", " ")


def swap(bar: int, *symbols: str, beats: int = 4) -> PlaceOffer:
    share = Fraction(beats, len(symbols))
    return PlaceOffer("swap", "x", "y", bars=(BarChords(bar, symbols, (share,) * len(symbols)),))


def changed_lines(old: str, new: str) -> list[tuple[str, str]]:
    return [(a, b) for a, b in zip(old.split("\n"), new.split("\n"), strict=True) if a != b]


def test_a_swap_writes_its_bar_and_keeps_the_bar_lines_in_place() -> None:
    new = choose(TUNE, ("A", 4, 1), swap(4, "Gb9"))
    assert changed_lines(TUNE, new) == [
        ("swing | F6  | Dm9{slide}  | %   | C9 |   ", "swing | F6  | Dm9{slide}  | %   | Gb9 |   ")
    ]


def test_a_percent_after_the_chosen_bar_keeps_what_it_sounded() -> None:
    new = choose(TUNE, ("A", 2, 1), swap(2, "Ab9"))
    assert changed_lines(TUNE, new)[0][1] == "swing | F6  | Ab9         | Dm9{slide} | C9 |   "


def test_a_percent_that_is_chosen_is_written_out_alone() -> None:
    new = choose(TUNE, ("A", 3, 1), PlaceOffer("grip", "", "", frets=(5, 5, 5, 5)))
    assert changed_lines(TUNE, new)[0][1].startswith(
        "swing | F6  | Dm9{slide}  | Dm9@5555{slide} | C9 |"
    )


def test_a_chord_that_stays_keeps_its_lock_and_marks() -> None:
    text = "[A]\nplain | F C7 |\nswing | F6@2213{roll} C9 |\n"
    new = choose(text, ("A", 1, 3), swap(1, "F6", "Gb9"))
    assert new == "[A]\nplain | F C7 |\nswing | F6@2213{roll} Gb9 |\n"


def test_a_choice_as_it_is_changes_nothing() -> None:
    assert choose(TUNE, ("A", 1, 1), swap(1, "F6")) == TUNE


def test_the_first_choice_in_a_section_writes_the_whole_lane_below_its_plain_bars() -> None:
    text = "key: F\n\n[A]\n# home\n|: F   | Dm :|\n# away\n| Gm C7 | F |\n"
    lane = reharmonize(parse_chart(text), 2).chart.section("A").lane("swing")
    new = choose(text, ("A", 2, 1), PlaceOffer("mark", "", "", marks=("hold",)))
    lines = new.split("\n")
    assert [line for line in lines if not line.startswith("swing")] == text.split("\n")
    assert [lines.index(line) for line in lines if line.startswith("swing")] == [5, 8]
    chart = parse_chart(new)
    written = chart.section("A").swing
    assert written is not None
    assert written[0].slots == lane[0].slots
    assert written[1].slots[0].marks == ("hold",)


def test_line_endings_stay_those_of_the_file() -> None:
    text = "\ufeffkey: F\r\n[A]\r\n| F | C7 |"
    new = choose(text, ("A", 1, 1), PlaceOffer("mark", "", "", marks=("roll",)))
    assert new.startswith(text + "\r\nswing | ")
    assert parse_chart(new).section("A").swing is not None


def test_chords_are_written_as_numbers_where_the_chart_is() -> None:
    text = "key: F\nnumbers: yes\n[A]\nplain | 1 | 5^7 |\nswing | 1 | 5^7 |\n"
    assert "| bII9 |" in choose(text, ("A", 2, 1), swap(2, "Gb9"))


@pytest.mark.parametrize(
    ("place", "offer", "words"),
    [
        (("C", 1, 1), swap(1, "F"), "unknown section 'C'"),
        (("A", 9, 1), swap(1, "F"), "bar must be 1 to 4"),
        (("A", 1, 5), swap(1, "F"), "beat must be 1 to 4"),
        (("A", 1, 1), swap(1, "F", "G", "A"), "cannot be written"),
    ],
)
def test_what_cannot_be_chosen_is_refused_with_a_reason(place, offer, words) -> None:
    with pytest.raises(OptionError, match=words):
        choose(TUNE, place, offer)


def test_a_text_that_is_no_chart_is_refused() -> None:
    with pytest.raises(ChartError):
        choose("[A]\n| H |\n", ("A", 1, 1), swap(1, "F"))


def decorated(text: str, chance: Random) -> str:
    """Comments, blank lines, spare spaces, a ``%`` here and there, and other line endings."""
    lines = []
    for line in text.split("\n"):
        if line.startswith("|"):
            bars = line.strip("| ").split(" | ")
            bars = [b if i == 0 or chance.random() < 0.7 else "%" for i, b in enumerate(bars)]
            line = "| " + " | ".join(bar + " " * chance.randint(0, 3) for bar in bars) + " |"
        if chance.random() < 0.2:
            lines.append(chance.choice(("# a word of the teacher", "", "   ")))
        lines.append(line)
    return chance.choice(("\n", "\r\n")).join(lines)


def random_offer(chart: Chart, bar: int, chance: Random) -> PlaceOffer:
    kind = chance.choice(("swap", "grip", "mark"))
    if kind == "mark":
        return PlaceOffer("mark", "", "", marks=(chance.choice(MARKS),))
    if kind == "grip":
        return PlaceOffer("grip", "", "", frets=tuple(chance.randint(1, 12) for _ in range(4)))
    count = chance.choice([n for n in (1, 2, 3) if chart.meter.count % n == 0])
    symbols = tuple(chance.choice(("Gb9", "Dm7", "Bbm6", "C13", "F#dim7")) for _ in range(count))
    beats = (chart.meter.bar_beats / count,) * count
    return PlaceOffer("swap", "", "", bars=(BarChords(bar, symbols, beats),))


def test_a_thousand_random_choices_change_their_place_and_nothing_else() -> None:
    """The text still reads; all other bars, comments and bytes stay; undoing gives the bytes back.

    A hundred choices on each of 10 charts: the first in a section adds its lane.
    """
    made = 0
    for seed in range(10):
        chance = Random(f"choices/{seed}")
        text = decorated(random_chart(seed), chance)
        chart = parse_chart(text)
        for _ in range(100):
            section = chance.choice(chart.sections)
            bar = chance.randint(1, len(section.plain))
            place = (section.name, bar, chance.randint(1, chart.meter.count))
            offer = random_offer(chart, bar, chance)
            heard = reharmonize(chart, 2).chart if section.swing is None else chart
            old = sounding(heard, section.name)
            edits = () if is_silent(heard, place) else choice_edits(text, place, offer)
            new = apply_edits(text, edits)
            after = parse_chart(new)
            if edits:
                check(chart, after, old, section.name, bar)
                assert comments(new) == comments(text)
                if section.swing is None:
                    assert all(edit.start == edit.end for edit in edits)
                    assert all(edit.insert.strip().startswith("swing |") for edit in edits)
                else:
                    assert len(edits) <= 2
            text, chart = new, after
            made += 1
    assert made == 1000


def sounding(heard: Chart, name: str) -> tuple[Bar, ...]:
    """Return the lane that is played: the last time's, where nothing else of a section is."""
    last = f"{name}-last"
    return heard.section(last if name not in heard.form and last in heard.form else name).lane(
        "swing"
    )


def is_silent(heard: Chart, place: tuple[str, int, int]) -> bool:
    slots = sounding(heard, place[0])[place[1] - 1].slots
    return slots[slot_at(heard, slots, place[2])].chord is None


def check(before: Chart, after: Chart, old, name: str, bar: int) -> None:
    """Check the bars of the lane but the chosen one, the plain lane and the other sections."""
    lane = after.section(name).swing
    assert lane is not None
    assert [b.slots for i, b in enumerate(lane, 1) if i != bar] == [
        b.slots for i, b in enumerate(old, 1) if i != bar
    ]
    assert [b.slots for b in after.section(name).plain] == [
        b.slots for b in before.section(name).plain
    ]
    for section in before.sections:
        if section.name != name:
            assert after.section(section.name) == section


def comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip().startswith("#")]
