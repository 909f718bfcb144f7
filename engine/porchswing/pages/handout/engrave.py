"""Engrave one string's line as vector pictures through verovio, an open notation engraver.

The input is MusicXML 4.0 made by :mod:`porchswing.notation`; note heads are paths, and the
few words in the picture (fret numbers, chord symbols) use the page's own font.
"""

from __future__ import annotations

from porchswing.errors import MissingExtraError

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
    "pageWidth": 1800,
    "scale": 40,
    "smuflTextFont": "none",
    "svgViewBox": True,
    "xmlIdSeed": 1,
}


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
        raise MissingExtraError(
            "the engraved line needs the lesson extra: pip install 'porchswing[lesson]'"
        ) from error
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    toolkit.loadData(musicxml)
    return tuple(toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1))
