"""A folder we write into: files appear whole, ours are known, nothing is made twice or lost.

An :class:`OutputFolder` keeps, in a hidden folder ``.porchswing`` inside it,

- ``made.jsonl``, a journal: one line is appended *before* a finished file is renamed into
  place, so whatever is killed whenever, every file of ours is known by the hash of its content;
- ``work/``, where files grow until they are whole;
- ``lock``, held by one build or lesson at a time; the system lets go of it when its holder dies.

A file is *ours* when its content has a hash the journal knows: one that somebody edited since is
no longer ours and is never replaced unasked. A file is *current* when it was made from the same
digest of inputs; size and modification time (compared for equality only, so a changed clock does
no harm) spare reading it again. ``manifest.json`` states the same for people and programs.
"""

from __future__ import annotations

import errno
import hashlib
import os
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from porchswing.errors import OutputError
from porchswing.outputs.files import cannot_write
from porchswing.outputs.manifest import (
    HIDDEN,
    Entry,
    is_inside,
    journal_line,
    manifest_text,
    read_journal,
    read_manifest,
)

MANIFEST = "manifest.json"
"""Name of the visible manifest of a lesson or a course."""

_DAY_S = 86_400.0


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file's content."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


class OutputFolder:
    """A folder we write into, with its memory of what we wrote.

    Parameters
    ----------
    folder
        Where files go; made when the first one is written.
    force
        Replace files that are not ours as well.
    """

    def __init__(self, folder: Path, *, force: bool = False) -> None:
        self.folder = folder
        self.force = force
        self._hidden = folder / HIDDEN
        self._journal = self._hidden / "made.jsonl"
        self._is_locked = False
        self._known: dict[str, set[str]] = {}
        self._entries: dict[str, Entry] = {}
        self._reload()

    # --- asking ----------------------------------------------------------------------------

    @property
    def entries(self) -> Mapping[str, Entry]:
        """What we made here, by path below the folder."""
        return self._entries

    def is_ours(self, path: Path) -> bool:
        """Say whether an existing file is exactly what we once wrote there.

        Size and modification time as remembered spare reading it.
        """
        name = self._name(path)
        known = self._known.get(name)
        if known is None or not path.is_file():
            return False
        entry, stat = self._entries.get(name), path.stat()
        if entry and (entry.size_bytes, entry.mtime_ns) == (stat.st_size, stat.st_mtime_ns):
            return True
        return file_sha256(path) in known

    def refuse_strangers(self, paths: Iterable[Path]) -> None:
        """Raise before any work where a file stands in the way that is not ours."""
        if self.force:
            return
        strangers = [str(path) for path in paths if path.exists() and not self.is_ours(path)]
        if strangers:
            raise OutputError(
                f"{_some(strangers)} exists and was not written by porchswing, or was edited; "
                "--force replaces it"
            )

    def is_current(self, path: Path, digest: str, *, verify: bool = False) -> bool:
        """Say whether a file is there, whole, and made from this very digest.

        ``verify`` reads it even where size and modification time are as remembered.
        """
        entry = self._entries.get(self._name(path))
        if entry is None or entry.digest != digest:
            return False
        try:
            stat = path.stat()
            if stat.st_size != entry.size_bytes:
                return False
            if stat.st_mtime_ns == entry.mtime_ns and not verify:
                return True
            if file_sha256(path) != entry.sha256:
                return False
        except OSError:
            return False
        with suppress(OSError):  # only spares the next look
            self._append(replace(entry, mtime_ns=stat.st_mtime_ns))
        return True

    # --- making ----------------------------------------------------------------------------

    @contextmanager
    def making(
        self, path: Path, digest: str = "", made_from: Mapping[str, str] | None = None
    ) -> Iterator[Path]:
        """Yield a path to write to; when the block succeeds the file appears under ``path``.

        When it fails, Ctrl-C included, nothing is left and ``path`` is as it was.
        """
        self.refuse_strangers([path])
        part = self.work_path(path)
        try:
            yield part
            self.adopt(part, path, digest, made_from)
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)

    def work_path(self, path: Path) -> Path:
        """Return a fresh path in ``work/``, of the same suffix, for a file to grow in."""
        self._name(path)
        return self._fresh(path.suffix, path)

    def adopt(
        self,
        part: Path,
        path: Path,
        digest: str,
        made_from: Mapping[str, str] | None = None,
        sha256: str = "",
    ) -> Entry:
        """Take a finished file into the folder: first the journal, then the rename."""
        try:
            stat = part.stat()
            entry = Entry(
                self._name(path),
                digest,
                sha256 or file_sha256(part),
                stat.st_size,
                stat.st_mtime_ns,
                tuple(sorted((made_from or {}).items())),
            )
            path.parent.mkdir(parents=True, exist_ok=True)
            self._append(entry)
            part.replace(path)
        except OSError as error:
            raise cannot_write(path, error) from error
        return entry

    # --- whole builds ------------------------------------------------------------------------

    @contextmanager
    def locked(self) -> Iterator[OutputFolder]:
        """Hold the folder alone; sweep what a killed run left in ``work/``."""
        import platform

        from filelock import FileLock, Timeout

        holder = self._hidden / "holder"
        try:
            self._hidden.mkdir(parents=True, exist_ok=True)
            lock = FileLock(self._hidden / "lock", timeout=0)
            with lock:
                self._is_locked = True
                self._reload()
                self._sweep()
                self._write(holder, f"process {os.getpid()} on {platform.node()}")
                try:
                    yield self
                finally:
                    self._is_locked = False
                    holder.unlink(missing_ok=True)
        except Timeout as error:
            raise OutputError(
                f"another porchswing ({_read_text(holder) or 'just starting'}) is writing into "
                f"{self.folder}; wait until it has ended, or choose another folder"
            ) from error
        except OSError as error:
            raise cannot_write(self.folder, error) from error

    def write_manifest(self, about: Mapping[str, Any]) -> Path:
        """Write ``manifest.json`` (whole or not at all) and shorten the journal to match it."""
        self._write(self.folder / MANIFEST, manifest_text(self._entries, about))
        lines = ("\n" + journal_line(entry) for _, entry in sorted(self._entries.items()))
        self._write(self._journal, "".join(lines))
        return self.folder / MANIFEST

    def prune(self, wanted: Iterable[str]) -> tuple[list[str], list[str]]:
        """Remove files of ours that are no longer wanted; return removed and kept-as-edited.

        Only files the journal or the manifest knows, with the very content we wrote, go.
        """
        removed: list[str] = []
        edited: list[str] = []
        for name in sorted(set(self._entries) - set(wanted)):
            path = self.folder / name
            if path.exists() and not self.is_ours(path):
                edited.append(name)
                continue
            path.unlink(missing_ok=True)
            removed.append(name)
            del self._entries[name]
            _remove_empty(path.parent, self.folder)
        return removed, edited

    # --- inside ------------------------------------------------------------------------------

    def _name(self, path: Path) -> str:
        """Return the path below the folder; a path that leaves it is an error."""
        below = path.is_relative_to(self.folder)
        name = path.relative_to(self.folder).as_posix() if below else ""
        if not is_inside(name):
            raise OutputError(f"{path} lies outside {self.folder}")
        return name

    def _remember(self, entry: Entry) -> None:
        self._entries[entry.path] = entry
        self._known.setdefault(entry.path, set()).add(entry.sha256)

    def _reload(self) -> None:
        for entry in read_manifest(_read_text(self.folder / MANIFEST)):
            self._remember(entry)
        for entry in read_journal(_read_text(self._journal)):
            self._remember(entry)

    def _fresh(self, suffix: str, path: Path) -> Path:
        work = self._hidden / "work"
        try:
            work.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise cannot_write(path, error) from error
        kind = "build" if self._is_locked else "single"
        return work / f"{kind}-{os.urandom(16).hex()}{suffix}"

    def _sweep(self) -> None:
        """Remove what killed runs left; young files of single commands may still be growing."""
        for part in (self._hidden / "work").glob("*"):
            with suppress(OSError):
                if part.name.startswith("build-") or time.time() - part.stat().st_mtime > _DAY_S:
                    part.unlink()

    def _write(self, path: Path, text: str) -> None:
        part = self._fresh(path.suffix, path)
        try:
            part.write_text(text, "utf-8")
            part.replace(path)
        except OSError as error:
            raise cannot_write(path, error) from error
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)

    def _append(self, entry: Entry) -> None:
        """Append a line; it starts with the line break, so a torn one before it does no harm."""
        self._hidden.mkdir(parents=True, exist_ok=True)
        data = ("\n" + journal_line(entry)).encode()
        handle = os.open(self._journal, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
        try:
            if os.write(handle, data) != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        finally:
            os.close(handle)
        self._remember(entry)


def _read_text(path: Path) -> str:
    try:
        return path.read_text("utf-8", errors="replace")
    except OSError:
        return ""


def _remove_empty(folder: Path, top: Path) -> None:
    while folder != top and folder.is_relative_to(top):
        try:
            folder.rmdir()
        except OSError:
            return
        folder = folder.parent


def _some(names: list[str]) -> str:
    more = f" (and {len(names) - 3} more)" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more
