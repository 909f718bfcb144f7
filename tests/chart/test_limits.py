"""The limits of a chart: what they allow is read, one more is refused with the limit."""

from __future__ import annotations

import pytest

from porchswing.chart.language.reader import parse_chart
from porchswing.errors import ChartError

BAR = "[A]\n| C |\n"


def sections(count: int) -> str:
    return "".join(f"[S{number}]\n| C |\n" for number in range(count))


def verses(count: int) -> str:
    first = "[A]\nplain | C |\nwords | la |\n"
    return first + "".join(f"words {number} | la |\n" for number in range(2, count + 1))


def notes(count: int) -> str:
    short = "C4:1/4 " * (count - 1)
    bar = f"{short}C4:{97 - count}/4"
    return f"meter: 24/4\n[A]\nplain | C |\nmelody | {bar} |\n"


LIMITS = {
    "characters": (1_000_000, lambda n: BAR + "#" + "x" * (n - len(BAR) - 1)),
    "lines": (20_000, lambda n: "[A]\n| C |" + "\n" * (n - 2) + "# end"),
    "written bars": (2_500, lambda n: "[A]\n" + "| C " * n + "|\n"),
    "sections": (100, sections),
    "form": (200, lambda n: f"form: {'A ' * n}\n{BAR}"),
    "repeats": (16, lambda n: f"[A]\n|: C :|x{n}\n"),
    "repeats of a section": (16, lambda n: f"form: A x{n}\n{BAR}"),
    "units of a bar": (24, lambda n: f"meter: {n}/8\n{BAR}"),
    "notes of a bar": (64, notes),
    "verses": (20, verses),
    "syllable": (60, lambda n: f"[A]\nplain | C |\nwords | {'a' * n} |\n"),
    "header value": (2_000, lambda n: f"title: {'t' * n}\n{BAR}"),
    "fret": (24, lambda n: f"[A]\n| C@{n}-{n}-{n}-{n} |\n"),
    "fret window": (24, lambda n: f"frets: 0-{n}\n{BAR}"),
    "strings": (6, lambda n: f"[A]\n| C@{'5' * n} |\n"),
}
"""The most there may be of each, and a chart that has so many."""


@pytest.mark.parametrize("what", LIMITS)
def test_the_limit_is_read_and_one_more_refused(what: str) -> None:
    most, text = LIMITS[what]
    parse_chart(text(most))
    with pytest.raises(ChartError) as refused:
        parse_chart(text(most + 1))
    (problem,) = refused.value.problems
    assert f"{most:,}" in problem.message or f" {most} " in problem.message.replace(",", " ")


def test_a_grip_has_three_strings_at_least() -> None:
    parse_chart("[A]\n| C@555 |\n")
    with pytest.raises(ChartError):
        parse_chart("[A]\n| C@55 |\n")
