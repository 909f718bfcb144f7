"""Where things stand in a film's picture, by its sides: 16:9 for screens, 9:16 for phones held up.

Lengths are pixels. The plate stands low in the picture, clear of the outer twentieth that screens
may hide (title-safe area: SMPTE ST 2046-1), on phones above the lowest sixth, where players put
their own words and buttons (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.errors import check_one_of


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
