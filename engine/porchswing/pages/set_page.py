"""The stand view of a set list: one HTML file without network, whole without scripts.

Every text is escaped. A policy with the script's hash keeps anything else from running.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from importlib import resources

from porchswing.pages.chord_sheet.chord_sheet import ChordSection, ChordSheet
from porchswing.pages.look import fill, look_css, policy_source
from porchswing.theory.notes import with_signs
from porchswing.units import clock


@dataclass(frozen=True, slots=True)
class PageTune:
    """One tune of a set; ``counts`` pairs each number counted with its moment in seconds."""

    title: str
    key: str
    meter: str
    tempo_bpm: float
    choruses: int
    duration_s: float
    counts: tuple[tuple[str, float], ...]
    note: str
    sheet: ChordSheet

    @property
    def pace(self) -> str:
        """Meter and tempo."""
        return f"{self.meter}, {self.tempo_bpm:.0f} bpm"

    @property
    def counted(self) -> str:
        """The count in words, a stroke between its bars: ``1 2 | 1 2 3 4``."""
        words: list[str] = []
        for number, _ in self.counts:
            words += ["|", number] if words and number == "1" else [number]
        return " ".join(words)

    @property
    def way(self) -> str:
        """How often it is played, how long that takes and how it is counted in."""
        times = "once" if self.choruses == 1 else f"{self.choruses} times"
        counted = f", counted {self.counted}" if self.counted else ""
        return f"{times}, {clock(self.duration_s)}{counted}"


def set_page(title: str, total: str, tunes: Sequence[PageTune]) -> str:
    """Return the stand view of a set as one HTML text."""
    folder = resources.files(__package__)
    script = folder.joinpath("set_list.js").read_text("utf-8")
    fields = {
        "title": _text(title),
        "total": _text(total),
        "policy": "default-src 'none'; style-src 'unsafe-inline'; "
        f"script-src {policy_source(script)}; "
        "base-uri 'none'; form-action 'none'",
        "style": look_css() + folder.joinpath("set_list.css").read_text("utf-8"),
        "order": "\n".join(_row(number, tune) for number, tune in enumerate(tunes, 1)),
        "tunes": "\n".join(_tune(number, tune) for number, tune in enumerate(tunes, 1)),
        "script": script,
    }
    return fill(folder.joinpath("set_list.html").read_text("utf-8"), fields)


def _row(number: int, tune: PageTune) -> str:
    return (
        f'<li><a href="#tune-{number}"><b>{_text(tune.title)}</b> '
        f"<span>{_text(tune.key)}, {_text(tune.pace)}, {clock(tune.duration_s)}</span></a></li>"
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


def _section(section: ChordSection) -> str:
    rows = "".join(
        f'<div class="bars">{"".join(f"<span>{_text(bar)}</span>" for bar in line)}</div>'
        for line in section.lines
    )
    return f"<h3>{_text(section.name)}</h3>{rows}"


def _text(words: str) -> str:
    return escape(with_signs(words))
