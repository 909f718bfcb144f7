"""The practice page put together: one HTML text with everything in it.

Nothing a chart says can become markup or code: texts are escaped where they are put into the
page, the tune travels as JSON whose ``<``, ``>`` and ``&`` are written as escapes, the modules
make text nodes only, and the page's own policy lets no other script or style run and no
address be fetched.

Its script is the modules of ``web`` put end to end, the same files the tests import. They keep
three rules that make this safe: they import only from each other, by name
(``import { a, b } from "./x.mjs";`` or ``"../room/x.mjs"``), they export only declarations, and
no two of them declare the same name at top level.
"""

from __future__ import annotations

import base64
import html
import json
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from importlib.resources import files
from importlib.resources.abc import Traversable

from porchswing.chart.model import Chart
from porchswing.chart.roadmap import Roadmap
from porchswing.chart.unroll import is_last_time, section_title
from porchswing.errors import OptionError
from porchswing.grips.drawings.diagram import grip_svg
from porchswing.grips.drawings.tablature import tablature_svg, written_bars
from porchswing.grips.melody.solo_notes import Solo
from porchswing.grips.search.sequences import heard_sequences
from porchswing.grips.shapes.model import Voicing
from porchswing.pages.look import fill, look_css, policy_source
from porchswing.pages.practice.board_html import boards_html, line_html, main_lane
from porchswing.pages.practice.page_data import grips_of, line_index, numbered, tune_data
from porchswing.pages.practice.page_lane import PageLane, check_lanes, lane_places
from porchswing.pages.practice.page_sound import PlainTrack, plain_track, sound_strip
from porchswing.pages.practice.task import Task
from porchswing.pages.symbols import symbol_html
from porchswing.performance.model import Performance
from porchswing.theory.notes import with_signs
from porchswing.units import clock

STYLES = ("page.css", "boards.css", "stage.css", "layouts.css")
"""Style sheets of the page, in the order they override each other."""

LEGEND = "Large: the swing lane. Small, below it: the plain lane."
GALLERY_WORDS = (
    '<p class="legend">First those of the swing lane, then what the plain lane has besides.</p>'
)

_JSON_ESCAPES = {ord(mark): f"\\u{ord(mark):04x}" for mark in "<>&\u2028\u2029"}


def practice_page(
    chart: Chart,
    lanes: Sequence[PageLane],
    *,
    track: Performance | None = None,
    task: Task | None = None,
    solo: Solo | None = None,
    known: Collection[str] = (),
) -> str:
    """Return the practice page of a tune as one HTML text.

    The page needs no network, no folder and no other file. Raises
    :class:`~porchswing.errors.OptionError` where the lanes do not fit together.

    Parameters
    ----------
    lanes
        The lanes a student can hear, the one heard at first in front.
    track
        The band at a practice tempo, for readers that run no scripts; the first lane without it.
    task
        What the student is to practise.
    solo
        The tune on top of its grips, drawn as tablature.
    known
        Sections shown small: the student knows them.
    """
    check_lanes(lanes)
    large = main_lane(lanes)
    soloed = next((lane for lane in lanes if solo and lane.name == solo.lane), large)
    check_task(task, 1 + max(lane_places(lanes)))
    strip = sound_strip(lanes)
    plain = plain_track(track or lanes[0].performance)
    web = web_files()
    script = fill(web["after_paint.js"], {"script": bundle(web)})
    style = look_css() + "".join(web[name] for name in STYLES)
    lines = line_html(lanes, chart.key, line_index(chart, lanes[0].voicing.tuning))
    return fill(
        web["page.html"],
        {
            "policy": _policy((web["alive.mjs"], script), style),
            "title": html.escape(chart.title),
            "about": html.escape(_about(chart)),
            "task": html.escape(str(task) if task else ""),
            "task_hidden": "" if task else " hidden",
            "style": style,
            "alive": web["alive.mjs"],
            "legend": LEGEND if len(lanes) > 1 else "",
            "boards": boards_html(chart, lanes, numbered(lanes), lines, known),
            "lines": lines.kept(),
            "gallery": _gallery(lanes),
            "gallery_words": GALLERY_WORDS if len(lanes) > 1 else "",
            "again": _sequences(chart, large.voicing),
            "tablature": _tablature(chart, solo, soloed.roadmap),
            "tune": json_text(tune_data(chart, lanes, strip, task)),
            "script": script,
            "audio": base64.b64encode(strip.audio).decode("ascii"),
            "track_about": html.escape(_track_words(track or lanes[0].performance, plain)),
            "track": base64.b64encode(plain.audio).decode("ascii"),
        },
    )


def check_task(task: Task | None, bars: int) -> None:
    """Raise :class:`OptionError` where a task names bars that the page does not have."""
    if task is not None and task.bars is not None and task.bars[1] > bars:
        raise OptionError(f"the task's bars must be 1 to {bars}, got {task.bars[1]}")


def _track_words(performance: Performance, track: PlainTrack) -> str:
    felt = 60e6 / performance.tempo_events[0].us_per_quarter
    whole = "" if track.is_whole else ", the beginning of the tune"
    return f"The band at {felt:.0f} quarter notes a minute, {clock(track.seconds)}{whole}"


def json_text(value: object) -> str:
    r"""Return JSON that is safe inside a script element.

    >>> json_text("</script>")
    '"\\u003c/script\\u003e"'
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.translate(_JSON_ESCAPES)


def _policy(scripts: Sequence[str], style: str) -> str:
    """Return the page's content security policy: these scripts, this style, its own recording.

    ``worker-src`` lets a page that was put on a web host keep itself for later (``--site``).
    """
    allowed = " ".join(map(policy_source, scripts))
    return (
        f"default-src 'none'; script-src {allowed}; style-src {policy_source(style)}; "
        "media-src data:; worker-src 'self'; base-uri 'none'; form-action 'none'"
    )


def _about(chart: Chart) -> str:
    facts = [
        f"by {chart.by}" if chart.by else "",
        f"key of {with_signs(str(chart.key))}",
        str(chart.meter),
        f"{chart.tempo_bpm:g} bpm",
    ]
    return " · ".join(fact for fact in facts if fact)


def _gallery(lanes: Sequence[PageLane]) -> str:
    figures = []
    for number, (held, chord) in enumerate(grips_of(lanes).items()):
        drawing = grip_svg(held.grip).replace("<svg ", f'<svg id="grip-{number}" ', 1)
        figures.append(
            f'<li><figure data-grip="{number}"><figcaption><b>{symbol_html(chord)}</b> '
            f"<span>{html.escape(str(held.grip))}</span></figcaption>{drawing}</figure></li>"
        )
    return "\n".join(figures)


# --- for the fretting hand: shapes that come again, and the chord melody ----------------------


def _sequences(chart: Chart, voicing: Voicing) -> str:
    """Return the progressions heard again with the same shapes; nothing where there are none."""
    found = [heard for heard in heard_sequences(voicing) if heard.frets is not None]
    known = {str(heard) for heard in found if not is_last_time(chart, heard.section)}
    rows = [
        f"<li><b>{_named(chart, heard.section)}</b> {html.escape(with_signs(str(heard)))}</li>"
        for heard in found
        if not is_last_time(chart, heard.section) or str(heard) not in known
    ]
    return _section("again", "The same shapes again", [f"<ul>{''.join(rows)}</ul>"] if rows else [])


def _tablature(chart: Chart, solo: Solo | None, roadmap: Roadmap) -> str:
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


# --- the script: the modules put end to end ----------------------------------------------------

ENTRY = "main.mjs"

_IMPORT = re.compile(r'^import \{[^}]*\} from "\.{1,2}/(?:\w+/)?([\w.]+)";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const|class)\b)", re.MULTILINE)
_LEFT_OVER = re.compile(r"^\s*(?:import|export)\b.*$", re.MULTILINE)
_DECLARED = re.compile(r"^(?:async )?(?:function\*?|const|let|class) (\w+)", re.MULTILINE)


def web_files() -> dict[str, str]:
    """Return the text of every file in the ``web`` folder and its rooms, by name alone."""
    return dict(_texts(files(__package__) / "web"))


def _texts(folder: Traversable) -> Iterator[tuple[str, str]]:
    for item in folder.iterdir():
        if item.is_file():
            yield item.name, item.read_text("utf-8")
        else:
            yield from _texts(item)


def bundle(modules: Mapping[str, str], entry: str = ENTRY) -> str:
    r"""Return the modules ``entry`` needs as one script, what is imported first.

    Raises :class:`ValueError` where a module breaks the three rules at the top of this file.

    >>> bundle({"a.mjs": 'import { b } from "./b.mjs";\nb();\n',
    ...         "b.mjs": "export const b = 1;\n"}, "a.mjs")
    'const b = 1;\nb();\n'
    """
    order: list[str] = []
    _visit(modules, entry, order, ())
    texts = [_plain(name, modules[name]) for name in order]
    declared: dict[str, str] = {}
    for name, text in zip(order, texts, strict=True):
        for word in _DECLARED.findall(text):
            if word in declared:
                raise ValueError(f"{name} and {declared[word]} both declare {word}")
            declared[word] = name
    return "".join(texts)


def _visit(modules: Mapping[str, str], name: str, order: list[str], path: tuple[str, ...]) -> None:
    if name in path:
        raise ValueError(f"modules import each other in a ring: {' '.join((*path, name))}")
    if name in order:
        return
    if name not in modules:
        raise ValueError(f"{path[-1] if path else 'the page'} imports {name}, which is not there")
    for imported in _IMPORT.findall(modules[name]):
        _visit(modules, imported, order, (*path, name))
    order.append(name)


def _plain(name: str, text: str) -> str:
    plain = _EXPORT.sub("", _IMPORT.sub("", text))
    found = _LEFT_OVER.search(plain)
    if found:
        raise ValueError(f"{name} breaks the rules for modules: {found.group().strip()}")
    return plain
