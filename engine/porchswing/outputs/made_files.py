"""What we wrote in a folder: every file of ours by name, content and the digest of its inputs.

A file is *ours* when its content has a hash we remember; one that somebody edited since is no
longer ours. A file that a power cut tore is ours and broken: it is the very file we renamed (same
inode), no newer and no longer than it was, or it is empty. A file is *current* when it was made
from the same digest of inputs; size and modification time (compared for equality only, so a
changed clock does no harm) spare reading it again.

The journal has one line for every file we made, synced before its rename. Appending and
shortening hold one lock, so that commands writing into one folder at once lose no line of each
other's. A line has a line break at both ends, so a torn one, or the zeros that a power cut may
leave in its place, spoils neither the line before it nor the one after.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path

from porchswing.outputs.files import lock, make_folder, opened, sync_folder, sync_handle
from porchswing.outputs.manifest import HIDDEN, Entry, journal_line, read_journal, read_manifest

MANIFEST = "manifest.json"
"""Name of the visible manifest of a lesson or a course."""


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file's content."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


class MadeFiles:
    """The entries of a folder's journal and manifest, and what they record of its files."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._journal = Journal(folder / HIDDEN)
        self._known: dict[str, dict[str, Entry]] = {}
        self._pruned: set[str] = set()
        self.latest: dict[str, Entry] = {}
        self.reload()

    def reload(self) -> None:
        """Read the manifest and the journal again."""
        stated = read_manifest(text_at(self._folder / MANIFEST))
        for entry in (*stated, *self._journal.read()):
            self._remember(entry)

    def append(self, entries: Sequence[Entry], *, sync: bool = True) -> None:
        """Write entries to the journal; with ``sync`` they are on the disk on return."""
        self._journal.append(entries, sync=sync)
        for entry in entries:
            self._remember(entry)

    def forget(self, name: str) -> None:
        """Drop a file that was removed."""
        del self.latest[name]
        self._pruned.add(name)

    def is_ours(self, name: str, *, verify: bool = False) -> bool:
        """Return whether an existing file is what we once wrote under a name, whole or torn.

        Size and modification time as remembered spare reading it, unless ``verify`` is set; then
        only the content counts.
        """
        path, known = self._folder / name, self._known.get(name)
        if known is None or not path.is_file():
            return False
        if not verify:
            if _looks_like(path, self.latest.get(name)):
                return True
            stat = path.stat()
            if any(_is_torn(stat, entry) for entry in known.values()):
                return True
        return file_sha256(path) in known

    def is_current(self, name: str, digest: str, *, verify: bool = False) -> bool:
        """Return whether a file is there, whole, and made from this very digest.

        ``verify`` reads it even where size and modification time are as remembered.
        """
        path, entry = self._folder / name, self.latest.get(name)
        if entry is None or entry.digest != digest:
            return False
        if _looks_like(path, entry) and not verify:
            return True
        try:
            stat = path.stat()
            if stat.st_size != entry.size_bytes or file_sha256(path) != entry.sha256:
                return False
        except OSError:
            return False
        with suppress(OSError):  # only spares the next look
            self.append([replace(entry, mtime_ns=stat.st_mtime_ns, inode=stat.st_ino)], sync=False)
        return True

    def in_place(self) -> dict[str, Entry]:
        """Return the latest entries whose files are there, at the size they had."""
        found = {}
        for name, entry in self.latest.items():
            with suppress(OSError):
                if (self._folder / name).stat().st_size == entry.size_bytes:
                    found[name] = entry
        return found

    def shorten_journal(self, part: Path) -> None:
        """Leave one line for each file in the journal, written by way of ``part``.

        While the latest file of a name is not in place its older lines stay: after a kill the
        older file is still ours.
        """
        self._journal.shorten(self._worth_keeping, part)

    def _worth_keeping(self, journal: Iterable[Entry]) -> Iterator[Entry]:
        """Yield the entries to keep; the journal may hold lines of other commands by now."""
        lines = {name: list(entries.values()) for name, entries in self._known.items()}
        for entry in journal:
            lines.setdefault(entry.path, []).append(entry)
        for name, entries in sorted(lines.items()):
            if name in self._pruned:
                continue
            newest = entries[-1]
            settled = _looks_like(self._folder / name, newest)
            yield from [newest] if settled else dict.fromkeys(entries)

    def _remember(self, entry: Entry) -> None:
        self.latest[entry.path] = entry
        self._known.setdefault(entry.path, {})[entry.sha256] = entry
        self._pruned.discard(entry.path)


def _looks_like(path: Path, entry: Entry | None) -> bool:
    """Return whether a file has the size and time of an entry that states both."""
    try:
        stat = path.stat()
    except OSError:
        return False
    return (
        entry is not None
        and entry.mtime_ns > 0
        and (stat.st_size, stat.st_mtime_ns) == (entry.size_bytes, entry.mtime_ns)
    )


def _is_torn(stat: os.stat_result, entry: Entry) -> bool:
    """Return whether a file is one of ours that a power cut left short or without its data."""
    return stat.st_size == 0 or (  # an empty file is nobody's work
        entry.inode == stat.st_ino
        and entry.inode > 0
        and stat.st_mtime_ns <= entry.mtime_ns
        and stat.st_size <= entry.size_bytes
    )


class Journal:
    """The journal ``made.jsonl`` in a hidden folder."""

    def __init__(self, hidden: Path) -> None:
        self._hidden = hidden
        self._path = hidden / "made.jsonl"

    def read(self) -> list[Entry]:
        """Return every entry, oldest first."""
        return list(read_journal(text_at(self._path)))

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


def text_at(path: Path) -> str:
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
