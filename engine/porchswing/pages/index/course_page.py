"""The index page of a course: every tune with its page, its handouts and its recordings."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from importlib import resources

from porchswing.file_formats import SOUND
from porchswing.pages.index.index_page import IndexGroup, row_html
from porchswing.pages.look import look_css

CARE = (
    "Start the volume low, above all on headphones. Rest your hands; stop when something hurts, "
    "tingles or goes numb, and ask a doctor or another licensed professional if it stays."
)


def course_page(title: str, tunes: Sequence[IndexGroup]) -> str:
    """Return the index page of a course as one HTML text; recordings are folded."""
    folder = resources.files(__package__)
    style = look_css() + folder.joinpath("index.css").read_text("utf-8")
    count = len(tunes)
    parts = {
        "title": escape(title),
        "facts": f"{count} tune{'' if count == 1 else 's'}",
        "style": style,
        "tunes": "\n".join(_tune(tune) for tune in tunes),
        "care": escape(CARE),
    }
    head, *pieces = folder.joinpath("course.html").read_text("utf-8").split("{{")
    return head + "".join(
        parts[name] + rest for name, _, rest in (piece.partition("}}") for piece in pieces)
    )


def _tune(tune: IndexGroup) -> str:
    sounds = [row for row in tune.rows if row.name.rpartition(".")[2] in SOUND]
    others = [row for row in tune.rows if row not in sounds]
    words = f"<p>{escape(tune.words)}</p>" if tune.words else ""
    folded = ""
    if sounds:
        count = f"{len(sounds)} recording{'' if len(sounds) == 1 else 's'}"
        rows = "\n".join(map(row_html, sounds))
        folded = f"<details><summary>{count}</summary><ul>{rows}</ul></details>"
    shown = "\n".join(map(row_html, others))
    listed = f"<ul>{shown}</ul>" if others else ""
    return f"<section><h2>{escape(tune.heading)}</h2>{words}{listed}{folded}</section>"
