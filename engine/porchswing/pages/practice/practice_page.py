"""The practice page put together: one HTML text with everything in it.

Nothing a chart says can become markup or code: texts are escaped where they stand in the
page, the tune travels as JSON whose ``<``, ``>`` and ``&`` are written as escapes, the modules
make text nodes only, and the page's own policy lets no other script or style run and no
address be fetched.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import re
from collections.abc import Mapping, Sequence

from porchswing.chart.model import Chart
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.pages.look import look_css
from porchswing.pages.practice.bundle import bundle, web_files
from porchswing.pages.practice.page_data import grips_of, names_of_grips, tune_data
from porchswing.pages.practice.page_lane import PageLane, check_lanes
from porchswing.pages.practice.sound_sprite import sound_strip
from porchswing.theory.notes import with_signs

_FIELD = re.compile(r"\{\{(\w+)\}\}")
_JSON_ESCAPES = {ord(mark): f"\\u{ord(mark):04x}" for mark in "<>&\u2028\u2029"}


def practice_page(chart: Chart, lanes: Sequence[PageLane]) -> str:
    """Return the practice page of a tune as one HTML text.

    The first of ``lanes`` is the one heard at first. The page needs no network, no folder and
    no other file. Raises :class:`~porchswing.errors.OptionError` where the lanes do not fit
    together.
    """
    check_lanes(lanes)
    strip = sound_strip(lanes)
    web = web_files()
    script = bundle(web)
    style = look_css() + web["page.css"] + web["layouts.css"]
    return fill(
        web["page.html"],
        {
            "policy": _policy(script, style),
            "title": html.escape(chart.title),
            "about": html.escape(_about(chart)),
            "style": style,
            "gallery": _gallery(lanes),
            "tune": json_text(tune_data(chart, lanes, strip)),
            "audio": base64.b64encode(strip.audio).decode("ascii"),
            "script": script,
        },
    )


def fill(template: str, fields: Mapping[str, str]) -> str:
    """Return the template with every ``{{name}}`` replaced once; what is filled in stays as it is.

    >>> fill("<b>{{a}}</b>", {"a": "{{a}}"})
    '<b>{{a}}</b>'
    """
    return _FIELD.sub(lambda found: fields[found.group(1)], template)


def json_text(value: object) -> str:
    r"""Return JSON that is safe inside a script element.

    >>> json_text("</script>")
    '"\\u003c/script\\u003e"'
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.translate(_JSON_ESCAPES)


def _policy(script: str, style: str) -> str:
    """Return the page's content security policy: this script, this style, nothing else."""

    def digest(text: str) -> str:
        return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")

    return (
        f"default-src 'none'; script-src 'sha256-{digest(script)}'; "
        f"style-src 'sha256-{digest(style)}'; base-uri 'none'; form-action 'none'"
    )


def _about(chart: Chart) -> str:
    facts = [
        chart.by,
        f"key of {with_signs(str(chart.key))}",
        str(chart.meter),
        f"{chart.tempo_bpm:g} bpm",
    ]
    return " · ".join(fact for fact in facts if fact)


def _gallery(lanes: Sequence[PageLane]) -> str:
    names = names_of_grips(lanes)
    figures = []
    for number, grip in enumerate(grips_of(lanes)):
        name = html.escape(names.get(grip, ""))
        figures.append(
            f'<li><figure data-grip="{number}"><figcaption><b>{name}</b> '
            f"<span>{html.escape(str(grip))}</span></figcaption>{grip_svg(grip)}</figure></li>"
        )
    return "\n".join(figures)
