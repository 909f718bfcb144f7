"""The index pages of a lesson and of a course: what is in the folder, and in what order.

Every text is escaped and every file name is quoted as a relative address, so nothing a chart
says can become markup or point outside the folder.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from importlib import resources
from urllib.parse import quote

from porchswing.errors import OptionError
from porchswing.file_formats import SOUND
from porchswing.pages.look import fill, look_css
from porchswing.units import counted

CARE = (
    "Start the volume low, above all on headphones. Rest your hands; stop when something hurts, "
    "tingles or goes numb, and ask a doctor or another licensed professional if it stays."
)
"""The caution that closes a course's page."""


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
    lead: IndexRow | None,
    take_home: IndexRow | None,
    plan: Sequence[IndexStep],
    hear: IndexGroup | None,
    groups: Sequence[IndexGroup],
    care: str,
    missing: Sequence[str] = (),
) -> str:
    """Return the index page of a lesson as one HTML text.

    ``lead`` is the large way in; ``hear`` is open after the plan; ``groups`` are folded;
    ``care`` is the caution that closes the page. ``missing`` names what failed: it comes first.
    """
    steps = "\n".join(_step(step) for step in plan)
    home = f"<ul>{_row(take_home)}</ul>" if take_home else ""
    main = [
        _missing(missing),
        _lead(lead) if lead else "",
        '<section class="plan">\n<h2>Practice plan</h2>',
        "<p>Touch a step: the page opens at its bars, at its tempo.</p>",
        f"<ol>\n{steps}\n</ol>\n<p>{escape(care)}</p>\n</section>",
        _group(hear) if hear else "",
        f'<section class="home"><h2>The student\'s folder</h2>{home}</section>' if home else "",
        "\n".join(_folded(group) for group in groups),
    ]
    return _laid_out(title, facts, "\n".join(filter(None, main)))


def course_page(
    title: str, tunes: Sequence[IndexGroup], count: str, missing: Sequence[str] = ()
) -> str:
    """Return the index page of a course as one HTML text; recordings are folded.

    ``count`` says how many tunes and lessons there are, ``missing`` what could not be made.
    """
    care = f"<section><h2>Easy on ears and hands</h2><p>{escape(CARE)}</p></section>"
    main = "\n".join(filter(None, [_missing(missing), *map(_tune, tunes), care]))
    return _laid_out(title, f"{count} · playlist.m3u8 plays every recording in order", main)


def _tune(tune: IndexGroup) -> str:
    sounds = [row for row in tune.rows if row.name.rpartition(".")[2] in SOUND]
    others = [row for row in tune.rows if row not in sounds]
    words = f"<p>{escape(tune.words)}</p>" if tune.words else ""
    count = counted(len(sounds), "recording")
    recordings = f"<details><summary>{count}</summary><ul>{_rows(sounds)}</ul></details>"
    folded = recordings if sounds else ""
    listed = f"<ul>{_rows(others)}</ul>" if others else ""
    return f"<section><h2>{escape(tune.heading)}</h2>{words}{listed}{folded}</section>"


def _missing(missing: Sequence[str]) -> str:
    """Return what could not be made as a section, empty where all is there."""
    if not missing:
        return ""
    rows = "\n".join(f"<li>{escape(name)}</li>" for name in missing)
    words = "Everything else is here. The same command, run again, makes what is missing."
    return f"<section><h2>Could not be made</h2><p>{words}</p><ul>{rows}</ul></section>"


def _laid_out(title: str, facts: str, main: str) -> str:
    """Return an index page: its title, a line of facts, and what comes under them as HTML."""
    folder = resources.files(__package__)
    fields = {
        "title": escape(title),
        "facts": escape(facts),
        "style": look_css() + folder.joinpath("index.css").read_text("utf-8"),
        "main": main,
    }
    return fill(folder.joinpath("index.html").read_text("utf-8"), fields)


def _lead(lead: IndexRow) -> str:
    return (
        f'<a class="lead" href="{_address(lead.name)}"><b>{escape(lead.title)}</b>'
        f"<span>{escape(lead.words)}</span></a>"
    )


def _step(step: IndexStep) -> str:
    title, dot, rest = step.words.partition(". ")
    first = escape(title)
    linked = f'<a href="{_address(step.link)}">{first}</a>' if step.link else first
    return f"<li><b>{escape(step.minutes)}</b><span>{linked}{dot}{escape(rest)}</span></li>"


def _group(group: IndexGroup) -> str:
    return (
        f"<section><h2>{escape(group.heading)}</h2><p>{escape(group.words)}</p>"
        f"<ul>{_rows(group.rows)}</ul></section>"
    )


def _folded(group: IndexGroup) -> str:
    files = counted(len(group.rows), "file")
    return (
        f"<details><summary><h2>{escape(group.heading)}</h2> <small>{files}</small></summary>"
        f"<p>{escape(group.words)}</p><ul>{_rows(group.rows)}</ul></details>"
    )


def _rows(rows: Iterable[IndexRow]) -> str:
    return "\n".join(map(_row, rows))


def _row(row: IndexRow) -> str:
    """Return a row as a list item: a link, a sentence, a player for a sound."""
    address = _address(row.name)
    words = f"<span>{escape(row.words)}</span>" if row.words else ""
    player = (
        f'<audio controls preload="none" src="{address}" '
        f'aria-label="{escape(row.title, quote=True)}"></audio>'
    )
    is_heard = row.has_player and row.name.rpartition(".")[2] in SOUND
    link = f'<a href="{address}">{escape(row.title)}</a>'
    return f"<li>{link}{words}{player if is_heard else ''}</li>"


def _address(link: str) -> str:
    """Return a file's name, and the task after it, as an address that stays in the folder."""
    name, mark, task = link.partition("#") if ".html#" in link else (link, "", "")
    if name.startswith("/") or ".." in name.split("/"):
        raise OptionError(f"a file of a lesson must lie in its folder, got {name!r}")
    return escape(quote(name) + mark + quote(task, safe="=&-"), quote=True)
