"""Opening lead sheets by strangers: sizes are limited, and XML is looked through before use.

No entity is ever expanded and no address opened: a document that declares entities is refused,
and so is one that nests or swells beyond the limits named here. A compressed file is opened in
memory, and only the one score its container names.
"""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from porchswing.chart.limits import MAX_VALUE_CHARACTERS, MAX_WRITTEN_BARS
from porchswing.errors import LeadSheetError, cannot_read
from porchswing.notation.xml import OWN_FIELD

MAX_FILE_BYTES = 10_000_000
"""Largest lead sheet, in bytes, also once it is unpacked."""

MAX_ABC_BYTES = 200_000
"""Longest ABC text, in bytes."""

MAX_ELEMENTS = 200_000
"""Most XML elements in one lead sheet."""

MAX_DEPTH = 60
"""Deepest nesting of XML elements; scores need about a dozen."""

MAX_EVENTS = 20_000
"""Most notes, rests and chord symbols in one lead sheet."""

MAX_QUARTERS = 100
"""Longest single note, rest or step back, in quarters; a bar of 24/4 has 24."""

MAX_ARCHIVE_FILES = 1_000
"""Most files in a compressed lead sheet."""

SCORES = ("score-partwise", "score-timewise")
"""Root elements of MusicXML scores."""

_EVENTS = frozenset({"note", "harmony", "forward", "backup"})
_CONTAINER = "META-INF/container.xml"
_SUFFIXES = (".musicxml", ".xml", ".mxl", ".abc")


def read_bounded(path: Path) -> bytes:
    """Return a file's bytes, at most :data:`MAX_FILE_BYTES` of them."""
    if path.suffix.lower() not in _SUFFIXES:
        raise LeadSheetError(
            f"{path} is a chart already"
            if path.suffix == ".changes"
            else f"a lead sheet ends in {' '.join(_SUFFIXES)}, got {path}"
        )
    try:
        with path.open("rb") as file:
            data = file.read(MAX_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        raise LeadSheetError(cannot_read("", path, error)) from None
    if len(data) > MAX_FILE_BYTES:
        raise LeadSheetError(f"{path} has more than {MAX_FILE_BYTES:,} bytes")
    return data


def unpacked(data: bytes, name: str) -> bytes:
    """Return the score in a compressed MusicXML file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if len(archive.infolist()) > MAX_ARCHIVE_FILES:
                raise LeadSheetError(f"{name} holds more than {MAX_ARCHIVE_FILES:,} files")
            return _member(archive, _root_file(archive, name), name)
    except LeadSheetError:
        raise
    except (
        zipfile.BadZipFile,
        KeyError,
        NotImplementedError,
        RuntimeError,
        OSError,
        EOFError,
        ValueError,
    ) as error:
        raise LeadSheetError(f"{name} is no compressed MusicXML file: {error}") from None
    except Exception as error:  # zlib.error and the like differ by compression method
        raise LeadSheetError(f"{name} cannot be unpacked: {error}") from None


def _root_file(archive: zipfile.ZipFile, name: str) -> str:
    """Return the name of the score the container names, else of the only XML file."""
    names, named = archive.namelist(), []
    if _CONTAINER in names:
        named = look_through(_member(archive, _CONTAINER, name), name).root_files
    scores = [n for n in names if n.endswith((".xml", ".musicxml")) and "META-INF" not in n]
    found = next((each for each in (*named, *scores) if each in names), None)
    if found is None:
        raise LeadSheetError(f"{name} holds no score")
    return found


def _member(archive: zipfile.ZipFile, member: str, name: str) -> bytes:
    """Unpack one file of an archive, no further than the limit."""
    if archive.getinfo(member).compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise LeadSheetError(f"{name} is not packed by DEFLATE, as MusicXML 4.0 asks")
    with archive.open(member) as file:
        data = file.read(MAX_FILE_BYTES + 1)
    if len(data) > MAX_FILE_BYTES:
        raise LeadSheetError(f"{name} unpacks to more than {MAX_FILE_BYTES:,} bytes")
    return data


@dataclass(slots=True)
class Survey:
    """What one pass over an XML document found: its root, the container's files, the swing.

    ``said`` is what our own export writes about itself in ``<miscellaneous-field>``.
    """

    root: str = ""
    root_files: list[str] = field(default_factory=list)
    swing: dict[str, str] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)


class _Surveyor:
    """The handlers of one pass: they count, and they refuse what is unsafe."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.found = Survey()
        self._elements = self._events = self._measures = 0
        self._divisions = 1.0
        self._path: list[str] = []
        self._text = ""
        self._field = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Count an element that opens."""
        self._elements += 1
        self._path.append(tag)
        self._text = ""
        self.found.root = self.found.root or tag
        if len(self._path) > MAX_DEPTH:
            raise LeadSheetError(f"{self.name} nests deeper than {MAX_DEPTH} elements")
        if tag == "part":
            self._measures = 0
        self._measures += tag == "measure"
        self._events += tag in _EVENTS
        for count, most, what in (
            (self._elements, MAX_ELEMENTS, "elements"),
            (self._measures, MAX_WRITTEN_BARS, "measures"),
            (self._events, MAX_EVENTS, "notes and chords"),
        ):
            if count > most:
                raise LeadSheetError(f"{self.name} has more than {most:,} {what}")
        if tag == "rootfile" and "full-path" in attributes:
            self.found.root_files.append(attributes["full-path"])
        if tag == "miscellaneous-field":
            self._field = attributes.get("name", "")

    def text(self, text: str) -> None:
        """Keep a short text."""
        self._text = (self._text + text)[:MAX_VALUE_CHARACTERS]

    def end(self, tag: str) -> None:
        """Check a length and note the first swing where an element closes."""
        self._path.pop()
        if tag == "divisions":
            self._divisions = max(1.0, _number(self._text))
        elif tag == "duration" and _number(self._text) > MAX_QUARTERS * self._divisions:
            raise LeadSheetError(f"{self.name} has a note longer than {MAX_QUARTERS} quarters")
        if self._path[-1:] == ["swing"]:
            self.found.swing.setdefault(tag, self._text.strip())
        if tag == "miscellaneous-field" and self._field.startswith(OWN_FIELD):
            self.found.said.setdefault(self._field.removeprefix(OWN_FIELD), self._text.strip())

    def entity(self, *_: object) -> None:
        """Refuse a declared entity."""
        raise LeadSheetError(f"{self.name} declares XML entities, which is refused as unsafe")


def _number(text: str) -> float:
    """Return a number from a text, 0 where it is none; a reader complains of it later."""
    try:
        return float(text)
    except ValueError:
        return 0.0


def look_through(data: bytes, name: str) -> Survey:
    """Read an XML document once without building it; refuse what is unsafe or broken.

    The parser opens no address: without a handler for them it passes over what is outside.
    """
    surveyor = _Surveyor(name)
    parser = expat.ParserCreate()
    parser.StartElementHandler = surveyor.start
    parser.EndElementHandler = surveyor.end
    parser.CharacterDataHandler = surveyor.text
    parser.EntityDeclHandler = surveyor.entity
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        if isinstance(error, LeadSheetError):
            raise
        raise LeadSheetError(f"{name} is no readable XML: {error}") from None
    return surveyor.found
