"""The page's sections for the fretting hand: shapes that come again, and the chord melody."""

from __future__ import annotations

import html

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import is_last_time, section_title
from porchswing.grips.drawings.tablature import written_bars
from porchswing.grips.drawings.tablature_svg import tablature_svg
from porchswing.grips.melody.solo_model import Solo
from porchswing.grips.shapes.model import Voicing
from porchswing.grips.vocabulary.heard_sequences import heard_sequences
from porchswing.theory.notes import with_signs


def sequences_html(chart: Chart, voicing: Voicing) -> str:
    """Return the progressions heard again with the same shapes; nothing where there are none."""
    found = [heard for heard in heard_sequences(voicing) if heard.frets is not None]
    known = {str(heard) for heard in found if not is_last_time(chart, heard.section)}
    rows = [
        f"<li><b>{_named(chart, heard.section)}</b> {html.escape(with_signs(str(heard)))}</li>"
        for heard in found
        if not is_last_time(chart, heard.section) or str(heard) not in known
    ]
    return _section("again", "The same shapes again", [f"<ul>{''.join(rows)}</ul>"] if rows else [])


def tablature_html(chart: Chart, solo: Solo | None, roadmap: Roadmap) -> str:
    """Return the chord melody as tablature, section by section; nothing without one."""
    if solo is None:
        return ""
    figures = [
        f"<figure><figcaption>{_named(chart, name)}</figcaption>"
        f"{tablature_svg(solo, roadmap, name)}</figure>"
        for name, bars in written_bars(roadmap).items()
        if any(solo.of_bar(bar) for bar in bars)
    ]
    troubles = [
        f"<p>Out of reach: {html.escape(with_signs(trouble))}</p>" for trouble in solo.troubles
    ]
    return _section("tablature", "The tune on top of its grips", [*figures, *troubles])


def _named(chart: Chart, section: str) -> str:
    return html.escape(f"[{section_title(chart, section)}]")


def _section(name: str, title: str, parts: list[str]) -> str:
    if not parts:
        return ""
    head = f'<section class="{name}" aria-labelledby="{name}-title">\n<h2 id="{name}-title">'
    return f"{head}{title}</h2>\n" + "\n".join(parts) + "\n</section>"
