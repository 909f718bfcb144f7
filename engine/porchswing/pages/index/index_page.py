"""Put the index page together: headings, links, and players for the sound files.

Every text is escaped and every file name is quoted as a relative address, so nothing a chart
says can become markup or point outside the folder.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from importlib import resources
from urllib.parse import quote

from porchswing.errors import OptionError
from porchswing.file_formats import FORMATS
from porchswing.pages.look import look_css

SOUNDS = tuple(f".{row.suffix}" for row in FORMATS if row.mime_type)
"""Suffixes that get a player."""


PLAN_AFTER = 2
"""How many groups stand before the practice plan."""


@dataclass(frozen=True, slots=True)
class IndexRow:
    """One file: its ``name`` below the folder, its ``title``, and a sentence about it.

    A sound gets a player unless ``has_player`` says no.
    """

    name: str
    title: str
    words: str = ""
    has_player: bool = True


@dataclass(frozen=True, slots=True)
class IndexGroup:
    """Files that belong together under a heading, with a sentence that says what for."""

    heading: str
    words: str
    rows: tuple[IndexRow, ...]


def index_page(
    title: str, facts: str, groups: Sequence[IndexGroup], plan: Sequence[tuple[str, str]], care: str
) -> str:
    """Return the index page of a lesson as one HTML text.

    ``plan`` holds minutes and words of each step and stands after the first groups; ``care`` is
    the caution that closes it.
    """
    layout = resources.files(__package__).joinpath("index.html").read_text("utf-8")
    style = look_css() + resources.files(__package__).joinpath("index.css").read_text("utf-8")
    parts = {
        "title": escape(title),
        "facts": escape(facts),
        "style": style,
        "first": "\n".join(_group(group) for group in groups[:PLAN_AFTER]),
        "groups": "\n".join(_group(group) for group in groups[PLAN_AFTER:]),
        "plan": "\n".join(
            f"<li><b>{escape(minutes)}</b><span>{escape(words)}</span></li>"
            for minutes, words in plan
        ),
        "care": escape(care),
    }
    head, *pieces = layout.split("{{")
    return head + "".join(
        parts[name] + rest for name, _, rest in (piece.partition("}}") for piece in pieces)
    )


def _group(group: IndexGroup) -> str:
    rows = "\n".join(_row(row) for row in group.rows)
    return (
        f"<section><h2>{escape(group.heading)}</h2><p>{escape(group.words)}</p>"
        f"<ul>{rows}</ul></section>"
    )


def _row(row: IndexRow) -> str:
    if row.name.startswith("/") or ".." in row.name.split("/"):
        raise OptionError(f"a file of a lesson lies in its folder, got {row.name!r}")
    address = escape(quote(row.name), quote=True)
    words = f"<span>{escape(row.words)}</span>" if row.words else ""
    player = ""
    if row.has_player and row.name.endswith(SOUNDS):
        player = (
            f'<audio controls preload="none" src="{address}" '
            f'aria-label="{escape(row.title, quote=True)}"></audio>'
        )
    return f'<li><a href="{address}">{escape(row.title)}</a>{words}{player}</li>'
