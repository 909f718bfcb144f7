"""What is wrong or doubtful in a chart's text, and the edit that follows a problem's hint."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.chart.singer import singing_doubts
from porchswing.chart.unroll import base_name, form_of
from porchswing.errors import ChartError, Problem, near_word
from porchswing.grips.names.grip_problems import doubts, mistakes
from porchswing.harmony.analysis.review import review
from porchswing.offered.bar_text import TextEdit
from porchswing.rhythm.patterns import pattern_names, pattern_word

_PATTERN_LINE = re.compile(r"\s*(strum|bass|drums)\s*:\s*(\S{1,60})")
_MEANT = re.compile(r"did you mean '?([^'?]+)'?\?")
_READS = re.compile(r"here: ([A-G]\S*)$")
_WRITE = re.compile(r"write ([A-G]\S*|N\.C\.)(?:$|[ ,])")
_HEADER = re.compile(r"add the header line (\w+: \w+)")
_WORD = re.compile(r"[^\s|]+")
_ENDS_SYMBOL = re.compile(r"[@{]")


def check_text(text: str, file: str = "<chart>") -> tuple[list[Problem], list[Problem]]:
    """Return what is wrong in a chart's text and what is doubtful, in the order of the text.

    Wrong is what cannot be read or played; doubtful a locked grip that does not sound its chord,
    a swap that loses its function, and the like.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    try:
        chart = parse_chart(text, file)
    except ChartError as error:
        return _in_order([*error.problems, *unknown_patterns(text, file)], lines), []
    wrong = [*unknown_patterns(text, file), *mistakes(chart)]
    doubtful = [*never_played(chart), *singing_doubts(chart), *doubts(chart), *review(chart)]
    return _in_order(wrong, lines), _in_order(doubtful, lines)


def never_played(chart: Chart) -> Iterator[Problem]:
    """Yield a doubt for each section that neither form, intro nor ending names.

    ``A-last`` in the form names ``A`` as well: all other choruses play it.
    """
    form = form_of(chart)
    played = {*form, *(base_name(chart, name) for name in form), chart.intro, chart.ending}
    for section in chart.sections:
        if section.name not in played:
            message = f"section {section.name} is never played: form: {' '.join(form)}"
            hint = "name it in the form, or leave it out"
            place = section.place
            width = len(section.name) + 2
            yield Problem(chart.file, place.line, place.column, message, hint, width=width)


def hint_edit(text: str, problem: Problem) -> TextEdit | None:
    r"""Return the edit that a problem's hint proposes, ``None`` where a hint is no edit.

    >>> text = "[A]\n| F | Cmja7 |\n"
    >>> wrong, _ = check_text(text)
    >>> hint_edit(text, wrong[0])
    TextEdit(start=10, end=15, insert='Cmaj7')
    """
    lines = text.splitlines(keepends=True)
    if not 1 <= problem.line <= len(lines):
        return None
    line_start = sum(map(len, lines[: problem.line - 1]))
    line = lines[problem.line - 1].rstrip("\r\n")
    start = line_start + problem.column - 1
    hint = problem.hint
    if found := _MEANT.search(hint) or _READS.search(hint) or _WRITE.match(hint):
        first, last = _word_at(line, problem, found[1])
        return TextEdit(line_start + first, line_start + last, found[1])
    if hint == "delete it":
        return TextEdit(start, start + problem.width, "")
    if hint == "leave one of the two lines out":
        return TextEdit(line_start, line_start + len(lines[problem.line - 1]), "")
    if found := _HEADER.search(hint):
        return TextEdit(0, 0, f"{found[1]}\n")
    return None


def _word_at(line: str, problem: Problem, new: str) -> tuple[int, int]:
    """Return where the words begin and end that a hint replaces, as columns from 0.

    A symbol may be wrong from its second letter on; the hint then gives the whole symbol.
    """
    first, last = problem.column - 1, problem.column - 1 + problem.width
    for word in _WORD.finditer(line) if "|" in line else ():
        if word.start() <= first < word.end():
            symbol = _ENDS_SYMBOL.split(word[0])[0]
            if first < word.start() + len(symbol) and (
                new[:1] == symbol[:1] or first == word.start()
            ):
                return word.start(), word.start() + len(symbol)
    return first, last


def _in_order(problems: Iterable[Problem], lines: list[str]) -> list[Problem]:
    ordered = sorted(problems, key=lambda problem: (problem.line, problem.column))
    return [_with_text(problem, lines) for problem in ordered]


def unknown_patterns(text: str, file: str = "<chart>") -> Iterator[Problem]:
    """Yield a problem for each pattern a chart names that does not exist."""
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        found = _PATTERN_LINE.match(line)
        if found and pattern_word(found[2]) not in (names := pattern_names(found[1])):
            near = near_word(pattern_word(found[2]), names)
            hint = f"did you mean {near}?" if near else f"known: {' '.join(names)}"
            message = f"unknown {found[1]} pattern {found[2]!r}"
            yield Problem(file, number, found.start(2) + 1, message, hint, width=len(found[2]))


def _with_text(problem: Problem, lines: list[str]) -> Problem:
    """Return the problem with its line of the chart, unless the line is too long to show."""
    known = 1 <= problem.line <= len(lines) and len(lines[problem.line - 1]) <= 160
    if problem.text or not known:
        return problem
    return replace(problem, text=lines[problem.line - 1].replace("\t", " "))
