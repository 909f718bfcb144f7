"""What files are and what they were made from: entries, their digests, journal and manifest texts.

Pure text and records; :mod:`porchswing.outputs.folder` keeps them in a folder. A damaged or hostile
line of a journal or row of a manifest is skipped: the worst it can do is that a file is made
again. Paths are relative, below the folder, with forward slashes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from porchswing.version import __version__

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

HIDDEN = ".porchswing"
"""The hidden folder an output folder keeps its memory in."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One file we made: ``path`` below the folder, what went in, and the content that came out.

    ``digest`` is :func:`digest_of` everything that went into it; ``sha256`` and ``size_bytes``
    are the content's; ``mtime_ns`` and ``inode`` (the file's number in its file system) are 0
    where unknown; ``made_from`` says it in words.
    """

    path: str
    digest: str
    sha256: str
    size_bytes: int
    mtime_ns: int = 0
    made_from: tuple[tuple[str, str], ...] = ()
    inode: int = 0


def digest_of(facts: object) -> str:
    """Return the SHA-256 of plain data (numbers, texts, lists, dicts), the same on any machine.

    >>> digest_of({"a": 1, "b": [2]}) == digest_of({"b": [2], "a": 1})
    True
    """
    text = json.dumps(facts, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


@cache
def engine_digest() -> str:
    """Return the digest of the package's own code: another engine makes other files."""
    from importlib.resources import files

    rows = {name: hashlib.sha256(data).hexdigest() for name, data in _sources(files("porchswing"))}
    return digest_of([__version__, rows])


def is_inside(name: str) -> bool:
    """Say whether a relative path stays below its folder and out of the hidden one.

    >>> is_inside("a/b.wav"), is_inside("../b.wav"), is_inside("/b.wav")
    (True, False, False)
    """
    path = PurePath(name)
    return bool(path.parts) and not path.anchor and not {"..", HIDDEN} & set(path.parts)


def journal_line(entry: Entry) -> str:
    """Return an entry as one line of JSON."""
    return json.dumps(asdict(entry), ensure_ascii=True, separators=(",", ":"))


def read_journal(text: str) -> Iterator[Entry]:
    """Yield the entries of a journal in order; torn lines are skipped."""
    for line in text.splitlines():
        with suppress(ValueError, RecursionError):
            yield from _entry(json.loads(line))


def manifest_text(entries: Mapping[str, Entry], about: Mapping[str, Any]) -> str:
    """Return the manifest of a folder as JSON, without times: equal folders, equal texts."""
    rows = {}
    for name, entry in sorted(entries.items()):
        row = asdict(entry)
        del row["path"], row["mtime_ns"], row["inode"]
        rows[name] = row | {"made_from": dict(entry.made_from)}
    document = {"made_by": f"porchswing {__version__}", **about, "files": rows}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def read_manifest(text: str) -> Iterator[Entry]:
    """Yield the entries a manifest states; damaged rows are skipped.

    A manifest travels, so it states no times and no inodes; any it claims are ignored.
    """
    try:
        document = json.loads(text or "{}")
    except (ValueError, RecursionError):
        return
    rows = document.get("files") if isinstance(document, dict) else None
    for name, row in rows.items() if isinstance(rows, dict) else ():
        if isinstance(row, dict):
            made_from = row.get("made_from")
            pairs = list(made_from.items()) if isinstance(made_from, dict) else []
            unknown = {"mtime_ns": 0, "inode": 0}
            yield from _entry(row | unknown | {"path": name, "made_from": pairs})


def _entry(row: object) -> Iterator[Entry]:
    """Yield the entry a row states, nothing where it is damaged."""
    if not isinstance(row, dict):
        return
    with suppress(KeyError, TypeError, ValueError, OverflowError):
        entry = Entry(
            str(row["path"]),
            str(row["digest"]),
            str(row["sha256"]),
            int(row["size_bytes"]),
            int(row.get("mtime_ns", 0)),
            tuple((str(key), str(value)) for key, value in row["made_from"]),
            int(row.get("inode", 0)),
        )
        if is_inside(entry.path):
            yield entry


def _sources(folder: Traversable, prefix: str = "") -> Iterator[tuple[str, bytes]]:
    for item in sorted(folder.iterdir(), key=lambda item: item.name):
        name = prefix + item.name
        if item.is_dir():
            if item.name not in {"__pycache__", "patterns", "demos"}:
                yield from _sources(item, name + "/")
        elif not name.endswith(".pyc"):
            yield name, item.read_bytes()
