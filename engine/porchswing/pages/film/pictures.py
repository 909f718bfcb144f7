"""The pictures of a film as PNG: each distinct one is set once, by the typesetter of the handout.

The same film gives the same bytes: the fonts are the typesetter's own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from fractions import Fraction
from importlib import resources
from typing import Any

from porchswing.band.strumming.grip_spans import Held
from porchswing.errors import missing_extra
from porchswing.grips.drawings.diagram import PLATE, PLATE_INK, grip_svg
from porchswing.grips.shapes.model import Grip
from porchswing.outputs.names import file_word
from porchswing.pages.film.layouts import FilmLayout
from porchswing.pages.film.scenes import Film, Scene
from porchswing.pages.film.strum_lane import strum_lane_svg
from porchswing.pages.handout.printable import printable
from porchswing.pages.symbols import QUALITY_SIZE, SymbolParts, symbol_parts
from porchswing.theory.symbols import parse_chord

SOFT = "#5d4e3f"
"""The colour of small words, our pages' own (``soft`` of ``look.css``): 7.8 to 1 on the plate."""

NOW, NEXT, SILENCE = "now", "next", "silence"

START = Fraction(0)

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
        held._replace(onset_beats=START, end_beats=START, bar=0, marks=(), is_pushed=False)
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
        "now": _board(scene.now, NOW),
        "next": _board(scene.next, NEXT),
        "strum": strum_lane_svg(scene, film.meter),
    }
    return dict(printable(words))


def _board(held: Held | None, head: str) -> dict[str, Any] | None:
    """Return a chord and its grip as they are drawn."""
    if held is None:
        return None
    return {
        "head": head,
        "symbol": _symbol(held.symbol),
        "marks": ", ".join(held.marks),
        "svg": _grip(held.grip),
    }


def _symbol(symbol: str) -> SymbolParts:
    return symbol_parts(None if symbol == "N.C." else parse_chord(symbol))


def _grip(grip: Grip | None) -> str:
    return grip_svg(grip, has_plate=True) if grip is not None else ""


def _set(pictures: Sequence[dict[str, Any]], layout: FilmLayout, *, is_filled: bool) -> list[bytes]:
    """Return some pictures as PNG."""
    try:
        import typst
    except ImportError as error:
        raise missing_extra("a film", "lesson") from error
    source = resources.files(__package__).joinpath("film.typ").read_bytes()
    look = {"ink": PLATE_INK, "plate": PLATE, "soft": SOFT, "quality_size": QUALITY_SIZE}
    data = {**asdict(layout), **look, "is_filled": is_filled, "pictures": list(pictures)}
    made = typst.compile(
        source,
        format="png",
        ppi=PPI,
        ignore_system_fonts=True,
        sys_inputs={"film": json.dumps(data, ensure_ascii=False)},
        timestamp=0,
    )
    return [made] if isinstance(made, bytes) else list(made)
