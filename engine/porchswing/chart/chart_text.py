"""The text of a chart file: its bytes, no more than a chart may have, read as UTF-8."""

from __future__ import annotations

from codecs import BOM_UTF8, getincrementaldecoder
from os import PathLike
from pathlib import Path
from typing import IO

from porchswing.chart.limits import MAX_CHART_CHARACTERS
from porchswing.errors import ChartError, Problem, check_file, near_file, unread_reason

MOST_BYTES = len(BOM_UTF8) + 4 * (MAX_CHART_CHARACTERS + 1)
"""One character more than the longest chart has in UTF-8: what is longer is refused as a chart."""


def read_chart_text(path: str | PathLike[str] | IO[str] | IO[bytes]) -> str:
    """Return the text of a chart file (UTF-8), by its path or as a file object open for reading.

    Raises
    ------
    ChartError
        Where the file cannot be read or is not UTF-8.
    """
    if isinstance(path, str | PathLike):
        return decoded(chart_bytes(path), str(path))
    check_file("path", path, "read")
    name = name_of(path)
    try:
        data = path.read(MOST_BYTES)
    except (OSError, ValueError) as error:
        raise _unread(name, error) from None
    return data if isinstance(data, str) else decoded(data, name)


def chart_bytes(path: str | PathLike[str]) -> bytes:
    """Return what a file holds, no more than a chart may have.

    Raises
    ------
    ChartError
        Where the file cannot be read.
    """
    try:
        with Path(path).open("rb") as file:
            return file.read(MOST_BYTES)
    except (OSError, ValueError) as error:
        raise _unread(str(path), error) from None


def decoded(data: bytes, name: str) -> str:
    """Return the text of a chart's bytes; ``name`` is what errors call the file.

    Of a file longer than a chart may be, the last character read may be incomplete: it is left out.

    Raises
    ------
    ChartError
        Where they are not UTF-8, with the place.
    """
    is_cut, data = len(data) >= MOST_BYTES, data.removeprefix(BOM_UTF8)
    try:
        return getincrementaldecoder("utf-8")().decode(data, final=not is_cut)
    except UnicodeDecodeError as error:
        problem = Problem(
            name,
            data.count(b"\n", 0, error.start) + 1,
            error.start - data.rfind(b"\n", 0, error.start),
            "this file is not UTF-8 text",
            "save it as UTF-8 in your text editor",
        )
        raise ChartError((problem,)) from None


def name_of(path: str | PathLike[str] | IO[str] | IO[bytes]) -> str:
    """Return the name that errors give a file."""
    name = str(path) if isinstance(path, str | PathLike) else getattr(path, "name", None)
    return name if isinstance(name, str) else "<chart>"


def _unread(name: str, error: OSError | ValueError) -> ChartError:
    """Return the error of a file that cannot be read, with a near name where there is one."""
    hint = near_file(name, error)
    if isinstance(error, IsADirectoryError):
        hint = f"name the charts in it: {Path(name) / '*.changes'}"
    return ChartError(
        (Problem(name, 1, 1, f"cannot read this chart: {unread_reason(error)}", hint),)
    )
