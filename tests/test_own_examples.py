"""What we show is ours: the trade's own four grips and their row of chords stay in the tests."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from porchswing.theory.notes import NoteName

SHOWN = (
    "engine",
    "demos",
    "patterns",
    "soundfonts_readme",
    "README.md",
    "CHANGELOG.md",
    "DEVELOPERS.md",
)
SUFFIXES = (".py", ".md", ".changes", ".toml", ".js", ".html", ".css", ".mjs")
GRIPS = ("7877", "6777", "5655", "4555")
WRITTEN = [
    form
    for grip in GRIPS
    for form in (rf"(?<!\d){grip}(?!\d)", "-".join(grip), r"\(" + ", ?".join(grip) + r"\)")
]
CHORD = r"\b([A-G][b#]?)(?:7|9|13)(?:@[-\dx]+)?(?:\{[a-z,]+\})?(?![\w#(])"
ROW = re.compile(rf"(?:{CHORD}[\s|%,`\"']*){{4,}}")


def shown_files(root: Path) -> list[Path]:
    found = [root / name for name in SHOWN if name.endswith(".md")]
    for name in SHOWN:
        found += [p for p in (root / name).rglob("*") if p.suffix in SUFFIXES]
    return found


def chained_dominants(text: str) -> list[str]:
    """Return every run of four dominants or more that fall by fifths, in any key."""
    found = []
    for run in ROW.finditer(text):
        roots = [NoteName.parse(name).pc for name in re.findall(CHORD, run.group())]
        falls = [(b - a) % 12 == 5 for a, b in pairwise(r for r in roots)]
        if any(all(falls[at : at + 3]) for at in range(len(falls) - 2)):
            found.append(run.group())
    return found


@pytest.mark.parametrize("grip", WRITTEN)
def test_the_trades_four_grips_are_shown_nowhere(grip: str, root: Path) -> None:
    holders = [str(p) for p in shown_files(root) if re.search(grip, p.read_text("utf-8"))]
    assert holders == []


def test_no_row_of_four_dominants_is_shown(root: Path) -> None:
    rows = {str(p): chained_dominants(p.read_text("utf-8")) for p in shown_files(root)}
    assert {path: found for path, found in rows.items() if found} == {}


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("| E7 | A9 | D7 | G9 |", 1),
        ("A9{slide} | % | D9 | % | G9 | % | C9@3435", 1),
        ("C6 Bb7 Eb7 Ab7 Db7", 1),
        ("Eb6 C7 F7 Bb7", 0),
        ("| C7 | C7 | F7 | C7 |", 0),
        ("C7 C9 C13 C7b9 F7", 0),
    ],
)
def test_the_search_for_rows_finds_them(text: str, number: int) -> None:
    assert len(chained_dominants(text)) == number
