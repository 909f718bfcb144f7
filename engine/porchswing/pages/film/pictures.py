"""The pictures of a film as PNG: each distinct one is set once, by the typesetter of the handout.

The same film gives the same bytes: the fonts are the typesetter's own.

Lengths are pixels. The plate is low in the picture, clear of the outer twentieth that screens
may hide (title-safe area: SMPTE ST 2046-1), on phones above the lowest sixth, where players put
their own words and buttons (common practice, no source).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from importlib import resources
from typing import Any

from porchswing.band.strumming.grip_spans import Held
from porchswing.chart.model import Meter
from porchswing.errors import check_one_of
from porchswing.grips.drawings.diagram import PLATE, PLATE_INK, grip_svg
from porchswing.outputs.names import file_word
from porchswing.pages.film.scenes import Film, Scene
from porchswing.pages.handout.strum_drawing import (
    HEIGHT,
    LINE_Y,
    felt_beats,
    place_x,
    strum_svg,
)
from porchswing.pages.symbols import QUALITY_SIZE, symbol_parts
from porchswing.pages.typesetting import printable, typeset
from porchswing.rhythm.patterns import PatternBar
from porchswing.theory.symbols import parse_chord


@dataclass(frozen=True, slots=True)
class FilmLayout:
    """A picture's size and its places, each left, top, width, height.

    The places of the grips give left, top, the width of the chord's name, the width of the
    diagram, and the height.
    """

    width: int
    height: int
    panel: tuple[int, int, int, int]
    strum: tuple[int, int, int, int]
    now: tuple[int, int, int, int, int]
    next: tuple[int, int, int, int, int]


LAYOUTS: dict[str, FilmLayout] = {
    "16:9": FilmLayout(
        1920,
        1080,
        panel=(110, 690, 1700, 310),
        strum=(600, 702, 760, 280),
        now=(130, 705, 220, 230, 280),
        next=(1390, 725, 200, 190, 240),
    ),
    "9:16": FilmLayout(
        1080,
        1920,
        panel=(60, 880, 960, 690),
        strum=(90, 1225, 900, 330),
        now=(80, 895, 240, 270, 325),
        next=(610, 935, 190, 200, 250),
    ),
}
"""Layouts by the picture's sides."""


def layout_of(sides: str) -> FilmLayout:
    """Return the layout of a picture's sides."""
    check_one_of("picture", sides, LAYOUTS)
    return LAYOUTS[sides]


SOFT = "#5d4e3f"
"""The colour of small words, our pages' own (``soft`` of ``look.css``): 7.8 to 1 on the plate."""

GLOW = "#ffc65c"
"""The colour of what is lit, our pages' own (``glow`` of ``look.css``)."""

LIGHT_WIDTH, LIGHT_TOP = 17.0, 1.0
BEAT_HEIGHT = 15.0

PPI = 72.0
"""Pixels an inch: one for a typographic point."""

AT_ONCE = 24
"""Pictures set at once, so that a long film needs little memory."""

STILL = FilmLayout(
    720, 720, (30, 30, 660, 660), (60, 60, 600, 44), (60, 90, 240, 340, 560), (0,) * 5
)
"""The picture of one grip."""


def distinct_pictures(film: Film) -> tuple[list[str], list[int]]:
    """Return each distinct picture as the data that is drawn, and the picture of every shot."""
    numbers: dict[str, int] = {}
    order = [
        numbers.setdefault(json.dumps(_drawn(shot.scene, film)), len(numbers))
        for shot in film.shots
    ]
    return list(numbers), order


def painted(pictures: Sequence[str], layout: FilmLayout, *, is_filled: bool) -> Iterator[bytes]:
    """Yield pictures as PNG, transparent around the plate unless ``is_filled`` with its colour.

    Raises
    ------
    MissingExtraError
        When the ``lesson`` extra is not installed.
    """
    for first in range(0, len(pictures), AT_ONCE):
        shown = [json.loads(text) for text in pictures[first : first + AT_ONCE]]
        yield from _set(shown, layout, is_filled=is_filled)


def plate_alone(layout: FilmLayout) -> bytes:
    """Return the plate without anything on it as PNG, transparent around it."""
    empty = {"place": "", "count": "", "now": None, "next": None, "strum": ""}
    return _set([empty], layout, is_filled=False)[0]


def shot_files(film: Film) -> list[str]:
    """Return the name of every shot's picture, numbered by its first frame."""
    return [f"pictures/{shot.first_frame:06d}.png" for shot in film.shots]


def shot_list(film: Film) -> str:
    """Return a line for every shot: its first frame, its number of frames, its picture."""
    rows = (
        f"{shot.first_frame}\t{shot.frames}\t{name}"
        for shot, name in zip(film.shots, shot_files(film), strict=True)
    )
    return "\n".join(("# first frame, frames, picture", *rows)) + "\n"


def shot_pictures(film: Film, layout: FilmLayout) -> Iterator[bytes]:
    """Yield the picture of every shot as PNG, transparent around the plate."""
    pictures, order = distinct_pictures(film)
    made = list(painted(pictures, layout, is_filled=False))
    return (made[number] for number in order)


def stills(film: Film) -> dict[str, bytes]:
    """Return the picture of every chord's grip once, as PNG by the name of its file."""
    found = dict.fromkeys(
        held._replace(
            onset_beats=Fraction(0), end_beats=Fraction(0), bar=0, marks=(), is_pushed=False
        )
        for bar in film.bars
        for held, _ in bar.chords_s
        if held.grip is not None
    )
    scenes = [
        printable({"place": "", "count": "", "now": _board(held, ""), "next": None, "strum": ""})
        for held in found
    ]
    names = [
        f"grips/{number:02d}-{file_word(f'{held.symbol} {held.grip}')}.png"
        for number, held in enumerate(found, 1)
    ]
    drawn = _set(scenes, STILL, is_filled=False) if scenes else []
    return dict(zip(names, drawn, strict=True))


def _drawn(scene: Scene, film: Film) -> dict[str, Any]:
    words = {
        "place": scene.place,
        "count": scene.count,
        "now": _board(scene.now, "now"),
        "next": _board(scene.next, "next"),
        "strum": strum_lane_svg(scene, film.meter),
    }
    return dict(printable(words))


def _board(held: Held | None, head: str) -> dict[str, Any] | None:
    """Return a chord and its grip as they are drawn."""
    if held is None:
        return None
    return {
        "head": head,
        "symbol": symbol_parts(None if held.symbol == "N.C." else parse_chord(held.symbol)),
        "marks": ", ".join(held.marks),
        "svg": grip_svg(held.grip, has_plate=True) if held.grip is not None else "",
    }


def strum_lane_svg(scene: Scene, meter: Meter) -> str:
    """Return the strokes of a scene's bar as SVG: the one struck last and the beat are lit."""
    behind = []
    if scene.lit is not None:
        behind.append(_light(place_x(scene.cells[scene.lit].at), LIGHT_TOP, LINE_Y - 2 - LIGHT_TOP))
    if scene.beat is not None:
        x = place_x(felt_beats(meter)[scene.beat])
        behind.append(_light(x, HEIGHT - BEAT_HEIGHT, BEAT_HEIGHT))
    return strum_svg(PatternBar("groove", scene.cells), meter, ink=PLATE_INK, behind=behind)


def _light(x: float, top: float, height: float) -> str:
    return (
        f'<rect x="{x - LIGHT_WIDTH / 2:g}" y="{top:g}" width="{LIGHT_WIDTH:g}" '
        f'height="{height:g}" rx="5" fill="{GLOW}"/>'
    )


def _set(pictures: Sequence[dict[str, Any]], layout: FilmLayout, *, is_filled: bool) -> list[bytes]:
    """Return some pictures as PNG."""
    source = resources.files(__package__) / "film.typ"
    look = {"ink": PLATE_INK, "plate": PLATE, "soft": SOFT, "quality_size": QUALITY_SIZE}
    data = {**asdict(layout), **look, "is_filled": is_filled, "pictures": list(pictures)}
    return typeset(source, "png", data, "a film", PPI)
