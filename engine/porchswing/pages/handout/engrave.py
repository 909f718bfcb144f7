"""Engrave one string's line as vector pictures through verovio, an open notation engraver.

The input is MusicXML 4.0 made by :mod:`porchswing.notation`; note heads are paths, and the
few words in the picture (fret numbers, chord symbols) use the page's own font.
"""

from __future__ import annotations

import re

from porchswing.errors import missing_extra

_OPTIONS = {
    "adjustPageHeight": True,
    "breaks": "auto",
    "footer": "none",
    "header": "none",
    "lyricSize": 4.0,
    "pageHeight": 60000,
    "pageMarginBottom": 10,
    "pageMarginLeft": 10,
    "pageMarginRight": 10,
    "pageMarginTop": 10,
    "pageWidth": 2250,
    "scale": 40,
    "smuflTextFont": "none",
    "svgViewBox": True,
    "xmlIdSeed": 1,
}


_SIGNS = str.maketrans(
    {
        "\uea64": "♭",
        "\uea65": "♮",
        "\uea66": "♯",
        "\ueca3": "𝅗𝅥",
        "\ueca5": "♩",
        "\uecb7": ".",
    }
)
"""SMuFL's private characters (figured bass and metronome marks) as Unicode's own."""

_MUSIC_FONT = re.compile(r'font-family="[^",]*" font-size="(\d+)px"')
_TEXT_SHARE = 0.56
"""Size of a text font's sign against the music font's, to look the same."""


def engrave_line(musicxml: str) -> tuple[str, ...]:
    """Return the SVG pages of a MusicXML score, about 18 cm wide when printed.

    Raises
    ------
    MissingExtraError
        When the ``lesson`` extra is not installed.
    """
    try:
        import verovio
    except ImportError as error:
        raise missing_extra("the engraved line", "lesson") from error
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    toolkit.loadData(musicxml)
    pages = range(1, toolkit.getPageCount() + 1)
    return tuple(_plain_text(toolkit.renderToSVG(page)) for page in pages)


def _plain_text(svg: str) -> str:
    """Return the picture with its musical signs in text as characters any text font has."""
    sized = _MUSIC_FONT.sub(
        lambda found: f'font-size="{round(int(found[1]) * _TEXT_SHARE)}px"', svg
    )
    return sized.translate(_SIGNS)
