"""Collect every problem of a chart in one run."""

from __future__ import annotations

from collections.abc import Iterable

from porchswing.chart.limits import MAX_PROBLEMS
from porchswing.chart.model import SourcePlace
from porchswing.errors import ChartError, Problem, near_word

MAX_SHOWN_CHARACTERS = 120
"""Longest piece of a source line shown above the caret."""


class TextError(ValueError):
    """One thing wrong with a piece of text: message, hint, and where in the piece."""

    def __init__(self, message: str, hint: str = "", offset: int = 0, width: int = 1) -> None:
        self.message, self.hint, self.offset, self.width = message, hint, offset, width
        super().__init__(message)


class Problems:
    """The problems found so far in the text of one chart."""

    def __init__(self, file: str, lines: list[str]) -> None:
        self.file, self.lines = file, lines
        self.found: list[Problem] = []
        self.left_out = 0

    def at(self, place: SourcePlace, message: str, hint: str = "") -> None:
        """Add one problem at a place."""
        if len(self.found) >= MAX_PROBLEMS:
            self.left_out += 1
            return
        text = self.lines[place.line - 1] if 0 < place.line <= len(self.lines) else ""
        shown = text.replace("\t", " ")
        if len(shown) > MAX_SHOWN_CHARACTERS:
            shown = shown[: max(place.column - 1 + place.width, MAX_SHOWN_CHARACTERS)]
        if len(shown) > 2 * MAX_SHOWN_CHARACTERS:
            shown = ""
        width = max(1, min(place.width, len(text) - place.column + 1, MAX_SHOWN_CHARACTERS))
        self.found.append(Problem(self.file, place.line, place.column, message, hint, shown, width))

    def trouble(self, line: int, column: int, trouble: TextError) -> None:
        """Add a :class:`TextError` in a piece of text that starts at ``column``."""
        self.at(
            SourcePlace(line, column + trouble.offset, trouble.width),
            trouble.message,
            trouble.hint,
        )

    def raise_any(self) -> None:
        """Raise every problem found, in the order of the text."""
        if not self.found:
            return
        ordered = sorted(self.found, key=lambda problem: (problem.line, problem.column))
        if self.left_out:
            more = f"and {self.left_out} more problems; mend these first"
            ordered.append(Problem(self.file, ordered[-1].line, ordered[-1].column, more))
        raise ChartError(tuple(ordered))


def wrong(rule: str, text: str, hint: str = "") -> TextError:
    """Return the error of a whole text that breaks a rule: what is expected, and what was got."""
    return TextError(f"{rule}, got {shortened(text)}", hint, width=len(text))


def shortened(text: str, characters: int = 40) -> str:
    """Return text for a message, cut where it is long."""
    return repr(text if len(text) <= characters else text[: characters - 1] + "…")


def nearest(word: str, known: Iterable[str]) -> str:
    """Suggest the known word nearest to a wrong one, or list them all where none is near."""
    by_letters = {each.lower(): each for each in dict.fromkeys(known)}
    if near := near_word(word[:40].lower(), by_letters):
        return f"did you mean {by_letters[near]}?"
    return "known: " + " ".join(list(by_letters.values())[:20]) if by_letters else ""
