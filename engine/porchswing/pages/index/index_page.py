"""Put the index page together: one large way to practise, the plan, the comparison, the rest.

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
from porchswing.file_formats import SOUND
from porchswing.pages.look import fill, look_css


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


@dataclass(frozen=True, slots=True)
class IndexLead:
    """The large way in: the page's ``name`` below the folder, its ``title`` and a sentence."""

    name: str
    title: str
    words: str


@dataclass(frozen=True, slots=True)
class IndexStep:
    """A step of the plan: ``minutes`` as printed, ``words``, and a ``link`` (or none).

    The first sentence carries the link: a file's name below the folder, which may end in ``#``
    and a task.
    """

    minutes: str
    words: str
    link: str = ""


def index_page(
    title: str,
    facts: str,
    lead: IndexLead | None,
    take_home: IndexRow | None,
    plan: Sequence[IndexStep],
    hear: IndexGroup | None,
    groups: Sequence[IndexGroup],
    care: str,
    missing: Sequence[str] = (),
) -> str:
    """Return the index page of a lesson as one HTML text.

    ``hear`` stands open after the plan; ``groups`` are folded; ``care`` is the caution that
    closes the page. ``missing`` names what failed: it is said first.
    """
    steps = "\n".join(_step(step) for step in plan)
    home = f"<ul>{row_html(take_home)}</ul>" if take_home else ""
    main = [
        missing_html(missing),
        _lead(lead) if lead else "",
        '<section class="plan">\n<h2>Practice plan</h2>',
        "<p>Touch a step: the page opens at its bars, at its tempo.</p>",
        f"<ol>\n{steps}\n</ol>\n<p>{escape(care)}</p>\n</section>",
        _group(hear) if hear else "",
        f'<section class="home"><h2>The student\'s folder</h2>{home}</section>' if home else "",
        "\n".join(_folded(group) for group in groups),
    ]
    return laid_out(title, facts, "\n".join(filter(None, main)))


def missing_html(missing: Sequence[str]) -> str:
    """Return what could not be made as a section, empty where all is there."""
    if not missing:
        return ""
    rows = "\n".join(f"<li>{escape(name)}</li>" for name in missing)
    words = "Everything else is here. The same command, run again, makes what is missing."
    return f"<section><h2>Could not be made</h2><p>{words}</p><ul>{rows}</ul></section>"


def laid_out(title: str, facts: str, main: str) -> str:
    """Return an index page: its title, a line of facts, and what comes under them as HTML."""
    folder = resources.files(__package__)
    fields = {
        "title": escape(title),
        "facts": escape(facts),
        "style": look_css() + folder.joinpath("index.css").read_text("utf-8"),
        "main": main,
    }
    return fill(folder.joinpath("index.html").read_text("utf-8"), fields)


def _lead(lead: IndexLead) -> str:
    return (
        f'<a class="lead" href="{_address(lead.name)}"><b>{escape(lead.title)}</b>'
        f"<span>{escape(lead.words)}</span></a>"
    )


def _step(step: IndexStep) -> str:
    title, dot, rest = step.words.partition(". ")
    words = f"{escape(title)}{dot}{escape(rest)}"
    if step.link:
        words = f'<a href="{_address(step.link)}">{escape(title)}</a>{dot}{escape(rest)}'
    return f"<li><b>{escape(step.minutes)}</b><span>{words}</span></li>"


def _group(group: IndexGroup) -> str:
    return (
        f"<section><h2>{escape(group.heading)}</h2><p>{escape(group.words)}</p>"
        f"<ul>{_rows(group)}</ul></section>"
    )


def _folded(group: IndexGroup) -> str:
    count = len(group.rows)
    files = f"{count} file{'' if count == 1 else 's'}"
    return (
        f"<details><summary><h2>{escape(group.heading)}</h2> <small>{files}</small></summary>"
        f"<p>{escape(group.words)}</p><ul>{_rows(group)}</ul></details>"
    )


def _rows(group: IndexGroup) -> str:
    return "\n".join(row_html(row) for row in group.rows)


def row_html(row: IndexRow) -> str:
    """Return a row as a list item: a link, a sentence, a player for a sound."""
    address = _address(row.name)
    words = f"<span>{escape(row.words)}</span>" if row.words else ""
    player = ""
    if row.has_player and row.name.rpartition(".")[2] in SOUND:
        player = (
            f'<audio controls preload="none" src="{address}" '
            f'aria-label="{escape(row.title, quote=True)}"></audio>'
        )
    return f'<li><a href="{address}">{escape(row.title)}</a>{words}{player}</li>'


def _address(link: str) -> str:
    """Return a file's name, and the task after it, as an address that stays in the folder."""
    name, mark, task = link.partition("#") if ".html#" in link else (link, "", "")
    if name.startswith("/") or ".." in name.split("/"):
        raise OptionError(f"a file of a lesson must lie in its folder, got {name!r}")
    return escape(quote(name) + mark + quote(task, safe="=&-"), quote=True)
