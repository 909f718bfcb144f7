"""The index page of a course: every tune with its page, its handouts and its recordings."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from porchswing.file_formats import SOUND
from porchswing.pages.index.index_page import IndexGroup, laid_out, missing_html, row_html

CARE = (
    "Start the volume low, above all on headphones. Rest your hands; stop when something hurts, "
    "tingles or goes numb, and ask a doctor or another licensed professional if it stays."
)


def course_page(
    title: str, tunes: Sequence[IndexGroup], count: str, missing: Sequence[str] = ()
) -> str:
    """Return the index page of a course as one HTML text; recordings are folded.

    ``count`` says how many tunes and lessons there are, ``missing`` what could not be made.
    """
    care = f"<section><h2>Easy on ears and hands</h2><p>{escape(CARE)}</p></section>"
    main = "\n".join([*filter(None, [missing_html(missing)]), *map(_tune, tunes), care])
    return laid_out(title, f"{count} · playlist.m3u8 plays every recording in order", main)


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
