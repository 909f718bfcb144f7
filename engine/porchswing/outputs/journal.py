"""The journal of an output folder: one line for every file we made, synced before its rename.

Appending and shortening hold one lock, so that commands writing into one folder at once lose no
line of each other's. A line has a line break at both ends, so a torn one, or the zeros that a
power cut may leave in its place, spoils neither the line before it nor the one after.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from porchswing.outputs.file_locks import lock
from porchswing.outputs.manifest import Entry, journal_line, read_journal
from porchswing.outputs.syncing import make_folder, opened, sync_folder, sync_handle


class Journal:
    """The journal ``made.jsonl`` in a hidden folder."""

    def __init__(self, hidden: Path) -> None:
        self._hidden = hidden
        self._path = hidden / "made.jsonl"

    def read(self) -> list[Entry]:
        """Return every entry, oldest first."""
        return list(read_journal(read_text(self._path)))

    def append(self, entries: Sequence[Entry], *, sync: bool = True) -> None:
        """Append entries; with ``sync`` they are on the disk when this returns."""
        make_folder(self._hidden)
        is_new = not self._path.exists()
        with self._locked():
            _write(self._path, os.O_APPEND, entries, sync)
        if is_new:
            sync_folder(self._hidden)

    def shorten(self, choose: Callable[[Iterable[Entry]], Iterable[Entry]], part: Path) -> None:
        """Replace the journal by the entries that ``choose`` keeps of it, by way of ``part``."""
        with self._locked():
            _write(part, os.O_TRUNC, list(choose(self.read())), sync=True)
            part.replace(self._path)
        sync_folder(self._hidden)

    @contextmanager
    def _locked(self) -> Iterator[None]:
        with opened(self._hidden / "journal.lock", os.O_RDWR | os.O_CREAT) as handle:
            lock(handle)
            yield


def read_text(path: Path) -> str:
    """Return a text file's content, nothing where it cannot be read."""
    try:
        return path.read_text("utf-8", errors="replace")
    except OSError:
        return ""


def _write(path: Path, mode: int, entries: Sequence[Entry], sync: bool) -> None:
    data = "".join(f"\n{journal_line(entry)}\n" for entry in entries).encode()
    with opened(path, os.O_WRONLY | os.O_CREAT | mode) as handle:
        while data:  # a disk that fills up writes less than it was given, then fails
            data = data[os.write(handle, data) :]
        if sync:
            sync_handle(handle)
