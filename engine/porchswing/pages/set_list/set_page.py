"""The stand view of a set list: one HTML file without network, whole without scripts.

Every text is escaped. A policy with the script's hash keeps anything else from running.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from html import escape
from importlib import resources

from porchswing.pages.chord_sheet.chord_sheet import ChordSheet, SheetSection
from porchswing.pages.look import fill, look_css
from porchswing.theory.notes import with_signs


@dataclass(frozen=True, slots=True)
class PageTune:
    """One tune as the page shows it: ``pace`` is meter and tempo, ``way`` how often and how long.

    ``counts`` pairs each number counted with its moment in seconds.
    """

    title: str
    key: str
    pace: str
    way: str
    note: str
    counts: tuple[tuple[str, float], ...]
    length: str
    sheet: ChordSheet


def clock(duration_s: float) -> str:
    """Return a length in minutes and seconds.

    >>> clock(125.6)
    '2:06'
    """
    minutes, seconds = divmod(round(duration_s), 60)
    return f"{minutes}:{seconds:02d}"


def set_page(title: str, total: str, tunes: Sequence[PageTune]) -> str:
    """Return the stand view of a set as one HTML text."""
    folder = resources.files(__package__)
    script = folder.joinpath("set_list.js").read_text("utf-8")
    digest = b64encode(sha256(script.encode()).digest()).decode()
    order = "\n".join(_row(number, tune) for number, tune in enumerate(tunes, 1))
    fields = {
        "title": _text(title),
        "total": _text(total),
        "policy": f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; "
        "base-uri 'none'; form-action 'none'",
        "style": look_css() + folder.joinpath("set_list.css").read_text("utf-8"),
        "order": order,
        "tunes": "\n".join(_tune(number, tune) for number, tune in enumerate(tunes, 1)),
        "script": script,
    }
    return fill(folder.joinpath("set_list.html").read_text("utf-8"), fields)


def _row(number: int, tune: PageTune) -> str:
    return (
        f'<li><a href="#tune-{number}"><b>{_text(tune.title)}</b> '
        f"<span>{_text(tune.key)}, {_text(tune.pace)}, {tune.length}</span></a></li>"
    )


def _tune(number: int, tune: PageTune) -> str:
    note = f'<p class="note">{_text(tune.note)}</p>' if tune.note else ""
    form = f"<p>form: {_text(tune.sheet.form)}</p>" if tune.sheet.form else ""
    sections = "\n".join(_section(section) for section in tune.sheet.sections)
    return (
        f'<section class="step" id="tune-{number}" tabindex="-1" aria-labelledby="name-{number}">'
        f'<h2 id="name-{number}">{number}. {_text(tune.title)}</h2>'
        f'<p class="key">{_text(tune.key)} <small>{_text(tune.pace)}</small></p>'
        f"<p>{_text(tune.way)}</p>{form}{note}{_count(tune)}{sections}</section>"
    )


def _count(tune: PageTune) -> str:
    """Return the button that shows the count in time, silently."""
    if not tune.counts:
        return ""
    moments = json.dumps([[number, round(at, 3)] for number, at in tune.counts])
    return (
        f'<p class="count"><button type="button" data-counts="{escape(moments)}">Count off</button>'
        "<output></output></p>"
    )


def _section(section: SheetSection) -> str:
    rows = "".join(
        f'<div class="bars">{"".join(f"<span>{_text(bar)}</span>" for bar in line)}</div>'
        for line in section.lines
    )
    return f"<h3>{_text(section.name)}</h3>{rows}"


def _text(words: str) -> str:
    return escape(with_signs(words))
