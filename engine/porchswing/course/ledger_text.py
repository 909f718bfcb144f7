"""The ledger of a course as text for a teacher, and as facts."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from functools import partial
from typing import Any

from porchswing.course.ledger import ADVICE, Ledger, Lesson
from porchswing.lesson.learned import Met

WIDTH = 78
"""Columns of text that fit every terminal."""


def ledger_text(found: Ledger) -> str:
    """Return the lessons, each with what is new and what is known, then the order proposed."""
    rows = [found.title]
    for number, lesson in enumerate(found.lessons, 1):
        rows += ["", *_lesson_rows(number, lesson)]
    rows += ["", *_order_rows(found), "", *textwrap.wrap(ADVICE, WIDTH)]
    return "\n".join(rows)


def _lesson_rows(number: int, lesson: Lesson) -> Iterator[str]:
    new, known = lesson.new, lesson.known
    yield f"{number}. {lesson.content.title}: {new.things} new, {known.things} known"
    indented = partial(textwrap.wrap, width=WIDTH, initial_indent="   ", subsequent_indent="     ")
    for word, met in (("new", new), ("known", known)):
        for kind, names in _named(lesson, met).items():
            yield from indented(f"{word} {kind}: {'; '.join(names)}") if names else ()
    yield f"   changes of shape: {len(new.changes)} new, {len(known.changes)} known"
    for title, move in lesson.review:
        yield from indented(f"review, from {title}: {move}")


def _named(lesson: Lesson, met: Met) -> dict[str, list[str]]:
    return {
        "shapes": [f"{e.shape} {e.name}" for e in lesson.content.shapes if e.shape in met.shapes],
        "swaps": sorted(met.swaps),
        "strums": sorted(met.strums),
    }


def _order_rows(found: Ledger) -> Iterator[str]:
    own = found.fullest(found.own_order)
    if found.proposal == found.own_order:
        yield f"order: as it is; its fullest lesson has {own} new things"
        return
    best = found.fullest(found.proposal)
    proof = "" if found.is_proven else " (a good order; too many tunes to prove the best)"
    yield f"order proposed: fullest lesson {best} new things, now {own}{proof}"
    for number, at in enumerate(found.proposal, 1):
        yield f"   {number}. {found.lessons[at].content.title}"


def ledger_facts(found: Ledger) -> dict[str, Any]:
    """Return the ledger as JSON facts."""
    return {
        "title": found.title,
        "lessons": [
            {
                "file": lesson.content.file,
                "title": lesson.content.title,
                "new": _named(lesson, lesson.new) | {"changes": len(lesson.new.changes)},
                "known": _named(lesson, lesson.known) | {"changes": len(lesson.known.changes)},
                "review": [{"from": title, "change": str(move)} for title, move in lesson.review],
            }
            for lesson in found.lessons
        ],
        "proposal": [found.lessons[at].content.file for at in found.proposal],
        "fullest": {
            "now": found.fullest(found.own_order),
            "proposed": found.fullest(found.proposal),
        },
        "proven": found.is_proven,
    }
