"""Find and read pattern files: TOML a player can write, in a checkout, a wheel or a zipped wheel.

A pattern is named by its kind (``strum``, ``bass``, ``drums``) and its file name without
``.toml``. This module holds where files are, how beats are counted in text and how to say what
is wrong with one; what the rows mean is for each part to say (``strum`` in
:mod:`porchswing.rhythm.strum`).
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import zip_longest
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from porchswing.chart.model import Meter
from porchswing.errors import OptionError, PatternError, PorchswingError
from porchswing.outputs.files import shipped
from porchswing.toml_table import TomlTable, near_or_all, toml_values

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

KINDS = ("strum", "bass", "drums")
COMPANIONS = "companions"
"""The table of which bass and drums belong to a strum, and its name among pattern digests."""

PLACES = ("groove", "any", "every 4", "every 8", "section end", "ending")
"""Where a bar of a pattern is played: in turn, as a variation, closing a phrase, or last of all."""

OWN_FOLDER = "PORCHSWING_PATTERNS"
"""Environment variable that names a player's own folder of patterns, laid out like ours."""

MAX_PATTERN_BYTES = 64_000

_SUBDIVISIONS = {
    "e": Fraction(1, 4),
    "&": Fraction(1, 2),
    "a": Fraction(3, 4),
    "trip": Fraction(1, 3),
    "let": Fraction(2, 3),
}
"""What players say inside a beat, and where it falls: 1 e & a, 1 trip let."""


@dataclass(frozen=True, slots=True)
class PatternData(TomlTable):
    """One pattern file as read, with its ``kind`` and ``name``; errors name file and key path."""

    error: type[PorchswingError] = PatternError
    kind: str = ""
    name: str = ""

    def meter(self, key: str = "meter") -> Meter:
        """Return the meter the pattern is written in, such as ``4/4``."""
        value = self.text(key)
        count, _, unit = value.partition("/")
        if not (count.isdecimal() and unit in {"4", "8"} and 1 <= int(count) <= 16):
            self.fail(key, f"must be a meter such as 4/4 or 6/8, got {value!r}")
        return Meter(int(count), int(unit))


CellT = TypeVar("CellT")
Starts = tuple[Fraction, ...]
RowReader = Callable[[PatternData, Mapping[str, Any], str, Starts, Meter], tuple[CellT, ...]]


@dataclass(frozen=True, slots=True)
class PatternBar(Generic[CellT]):
    """One bar of a pattern: where it may be played, one of :data:`PLACES`, and its cells."""

    place: str
    cells: tuple[CellT, ...]


@dataclass(frozen=True, slots=True)
class Pattern(Generic[CellT]):
    """A pattern: its ``title``, ``when`` a player uses it, ``meter``, ``feel`` and bars."""

    name: str
    title: str
    when: str
    meter: Meter
    feel: str
    bars: tuple[PatternBar[CellT], ...]


def pattern_bars(
    data: PatternData, meter: Meter, row_keys: tuple[str, ...], read_cells: RowReader[CellT]
) -> tuple[PatternBar[CellT], ...]:
    """Return the bars of a pattern file.

    ``read_cells`` reads the rows of one bar, given its table, key path and counted places.
    """
    bars = []
    for bar in data.tables("bars"):
        path = bar.path.removesuffix(".")
        bar.allow_only(("place", "count", *row_keys))
        place = bar.choice("place", "groove", PLACES)
        starts = parse_count(data, f"{path}.count", bar.values.get("count"), meter)
        bars.append(PatternBar(place, read_cells(data, bar.values, path, starts, meter)))
    if not any(bar.place == "groove" for bar in bars):
        data.fail("bars", 'needs at least one bar with place = "groove"')
    return tuple(bars)


def repeats(own_beats: Fraction, beats: Fraction) -> list[Fraction]:
    """Return where a bar of its own length begins again and again inside a bar of another meter.

    >>> [str(start) for start in repeats(Fraction(4), Fraction(5))]
    ['0', '4']
    """
    return [turn * own_beats for turn in range(ceil(beats / own_beats))]


def refuse_mixed_beats(
    data: PatternData, path: str, starts: Iterable[Fraction], meter: Meter
) -> None:
    """Refuse a beat with places in triplets and in halves: its swing would be undefined."""
    kinds: dict[int, set[bool]] = {}
    for start in starts:
        place = start / meter.unit_beats
        if place.denominator > 1:
            beat = place.numerator // place.denominator
            kinds.setdefault(beat, set()).add(place.denominator == 3)
    for beat, found in kinds.items():
        if len(found) > 1:
            data.fail(f"{path}.count", f"mixes triplets with & e a inside beat {beat + 1}")


def parse_count(
    data: PatternData, key_path: str, text: object, meter: Meter
) -> tuple[Fraction, ...]:
    """Return where each counted cell falls, in quarter-note beats from the start of the bar.

    ``text`` counts the whole bar as players say it: ``1 & 2 & 3 & 4 &``, ``1 e & a 2``,
    ``1 trip let 2``; in n/8 the numbers count eighths. Every beat of the meter must be counted,
    in order, so that the bar is full.

    >>> data = PatternData("x.toml", {})
    >>> [str(beat) for beat in parse_count(data, "count", "1 & 2 trip let", Meter(2, 4))]
    ['0', '1/2', '1', '4/3', '5/3']
    """
    if not isinstance(text, str):
        data.fail(key_path, f"must be a text such as '1 & 2 & 3 & 4 &', got {text!r}")
    cells: list[Fraction] = []
    beat, unit = 0, meter.unit_beats
    for index, word in enumerate(text.split()):
        if word.isdecimal():
            beat += 1
            if word != str(beat) or beat > meter.count:
                expected = f"count {beat}" if beat <= meter.count else "the end of the bar"
                data.fail(f"{key_path}[{index}]", f"must be {expected} of {meter}, got {word!r}")
            inside = Fraction(0)
        elif word in _SUBDIVISIONS and beat:
            inside = _SUBDIVISIONS[word]
        else:
            known = " ".join(_SUBDIVISIONS)
            data.fail(f"{key_path}[{index}]", f"must be a count or one of {known}, got {word!r}")
        place = (beat - 1 + inside) * unit
        if cells and place <= cells[-1]:
            data.fail(f"{key_path}[{index}]", f"does not come after the cell before it: {word!r}")
        cells.append(place)
    if beat != meter.count:
        data.fail(key_path, f"does not fill the bar: {beat} of {meter.count} beats are counted")
    return tuple(cells)


def cells_under(
    data: PatternData, key_path: str, text: object, count: int, example: str
) -> list[str]:
    """Return the cells of a row, one under each of so many counts."""
    if not isinstance(text, str):
        data.fail(key_path, f"must be a text such as {example!r}, got {text!r}")
    cells = text.split()
    if len(cells) != count:
        data.fail(key_path, f"must have {count} cells like its count, got {len(cells)}")
    return cells


def counted_text(data: PatternData) -> tuple[str, ...]:
    r"""Return a pattern's bars as counted rhythm: each bar's place, then its rows cell under cell.

    >>> bar = {"count": "1 & 2 &", "hand": "D . D u"}
    >>> print("\n".join(counted_text(PatternData("x.toml", {"bars": [bar]}))))
    groove:
      count       1 & 2 &
      hand        D . D u
    """
    return tuple(line for bar in data.tables("bars") for line in _counted_bar(bar.values))


def _counted_bar(bar: Mapping[str, Any]) -> Iterator[str]:
    rows = [(key, str(text).split()) for key, text in bar.items() if key != "place"]
    columns = zip_longest(*(cells for _, cells in rows), fillvalue="")
    widths = [max(map(len, column)) for column in columns]
    yield f"{bar.get('place', 'groove')}:"
    for key, cells in rows:
        row = " ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=False))
        yield f"  {key:<12}{row}".rstrip()


@lru_cache(maxsize=8)
def pattern_names(kind: str) -> tuple[str, ...]:
    """Return the names of all patterns of a kind, sorted."""
    return tuple(sorted(_files(kind)))


def pattern_word(name: str) -> str:
    """Return a pattern's name as its file has it; it may be typed with hyphens or capitals.

    >>> pattern_word("Boom-chuck")
    'boom_chuck'
    """
    return "_".join(name.replace("-", " ").split()).casefold()


def load_pattern_data(kind: str, name: str) -> PatternData:
    """Return a pattern file as read; an unknown name is an error that suggests the nearest.

    ``name`` is read as :func:`pattern_word` reads it.
    """
    wanted = pattern_word(name)
    if wanted not in _files(kind):
        hint = near_or_all(wanted, pattern_names(kind))
        raise OptionError(f"unknown {kind} pattern {name!r}; {hint}")
    return _read(kind, wanted)


def read_pattern_text(kind: str, name: str, file: str, text: str) -> PatternData:
    """Return pattern text as data; ``file`` is how errors name it."""
    return PatternData(file, toml_values(text, file, PatternError), kind=kind, name=name)


@lru_cache(maxsize=256)
def _read(kind: str, name: str) -> PatternData:
    source, found = _files(kind)[name]
    file = f"{source}/{kind}/{name}.toml"
    try:
        with found.open("rb") as stream:
            raw = stream.read(MAX_PATTERN_BYTES + 1)
        if len(raw) > MAX_PATTERN_BYTES:
            raise PatternError(f"{file}: is larger than {MAX_PATTERN_BYTES} bytes")
        text = raw.decode("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise PatternError(f"{file}: cannot be read: {error}") from error
    return read_pattern_text(kind, name, file, text)


@lru_cache(maxsize=8)
def _files(kind: str) -> dict[str, tuple[str, Traversable]]:
    """Return every pattern of a kind by name: how errors name its folder, and the file.

    The player's own folder, where there is one, comes on top of what ships.
    """
    if kind not in KINDS:
        raise ValueError(f"a pattern's kind is one of {', '.join(KINDS)}, got {kind!r}")
    return {
        file.name.removesuffix(".toml"): (source, file)
        for source, folder in _folders()
        if (folder / kind).is_dir()
        for file in (folder / kind).iterdir()
        if file.name.endswith(".toml") and file.is_file()
    }


def _folders() -> list[tuple[str, Traversable]]:
    """Return the folders of patterns, ours and then the player's own, and how errors name them."""
    folders: list[tuple[str, Traversable]] = [("patterns", shipped("patterns"))]
    if own := os.environ.get(OWN_FOLDER):
        folder = Path(own)
        if not folder.is_dir():
            raise OptionError(f"{OWN_FOLDER} names {own!r}, which is not a folder")
        folders.append((own, folder))
    return folders


def companion_files() -> list[PatternData]:
    """Return the tables of companions as read, the player's own before ours."""
    return [
        read_pattern_text(COMPANIONS, COMPANIONS, f"{source}/{COMPANIONS}.toml", text)
        for source, text in _companion_texts()
    ]


def _companion_texts() -> Iterator[tuple[str, str]]:
    for source, folder in reversed(_folders()):
        file = folder / f"{COMPANIONS}.toml"
        if file.is_file():
            yield source, file.read_text("utf-8")


def pattern_digests() -> dict[str, str]:
    """Return the SHA-256 of every pattern file by kind and name, such as ``strum/four``.

    ``companions`` is the digest of the tables that choose bass and drums.
    """
    tables = "\n".join(text for _, text in _companion_texts())
    return {COMPANIONS: hashlib.sha256(tables.encode()).hexdigest()} | {
        f"{kind}/{name}": hashlib.sha256(file.read_bytes()).hexdigest()
        for kind in KINDS
        for name, (_, file) in _files(kind).items()
    }


def forget_pattern_files() -> None:
    """Forget the list of pattern files and what was read from them."""
    pattern_names.cache_clear()
    _files.cache_clear()
    _read.cache_clear()
