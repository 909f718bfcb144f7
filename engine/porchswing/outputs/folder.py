"""A folder we write into: files appear whole, ours are known, nothing is made twice or lost.

An :class:`OutputFolder` keeps, in a hidden folder ``.porchswing`` inside it,

- ``made.jsonl``, a journal: one line for every finished file, on the disk *before* the file is
  renamed into place, so whatever is killed whenever, every file of ours is known by its hash;
- ``work/``, where files grow until they are whole;
- ``lock``, held by one build or lesson at a time; the system releases it when its holder dies.

:mod:`porchswing.outputs.made_files` says which files are ours, torn and current;
``manifest.json`` states the same for people and programs.

A build syncs every file, then the journal, then renames, then syncs the folders, many files at a
time. A single command syncs the journal always and its files up to :data:`SYNC_BYTES`; a larger
one reaches the disk in the system's own time, and the next run repairs what a power cut tore.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from stat import S_ISREG
from typing import Any

from porchswing.errors import OutputError
from porchswing.outputs.files import cannot_write, make_folder, sync_file, sync_folder
from porchswing.outputs.made_files import MANIFEST, MadeFiles, file_sha256, text_at
from porchswing.outputs.manifest import (
    HIDDEN,
    Entry,
    digest_of,
    engine_digest,
    is_inside,
    manifest_text,
)
from porchswing.outputs.names import check_unique
from porchswing.outputs.work_folder import WorkFolder, place_file

SYNC_BYTES = 1_000_000
"""A single command syncs files up to this size: a millisecond, where a render takes hundreds."""

STRANGER = "exists and was not written by porchswing, or was edited; --force replaces it"


@dataclass(frozen=True, slots=True)
class Finished:
    """A whole file at ``part`` that is to appear at ``path``, and what it was made from.

    ``sha256`` is the content's, empty where it is still to be read.
    """

    part: Path
    path: Path
    digest: str = ""
    made_from: Mapping[str, str] = field(default_factory=dict)
    sha256: str = ""


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
        self._work = WorkFolder(self._hidden / "work")
        self._made = MadeFiles(folder)
        self._is_locked = False
        self._is_new: dict[Path, bool] = {}  # by part: no file had its name when the work began

    # --- reading ---------------------------------------------------------------------------

    @property
    def entries(self) -> Mapping[str, Entry]:
        """What we made here, by path below the folder."""
        return self._made.latest

    def is_ours(self, path: Path) -> bool:
        """Return whether an existing file is what we once wrote there, whole or torn."""
        return self._made.is_ours(self._name(path))

    def is_current(self, path: Path, digest: str, *, verify: bool = False) -> bool:
        """Return whether a file is there, whole, and made from this very digest.

        ``verify`` reads it even where size and modification time are as remembered.
        """
        return self._made.is_current(self._name(path), digest, verify=verify)

    def holds_text(self, name: str, text: str) -> bool:
        """Return whether a text is there, whole and written by this very engine."""
        return self.is_current(self.folder / name, _text_digest(text))

    def obstacle(self, path: Path) -> str:
        """Return what forbids writing a file at a path, in words; empty where nothing does."""
        try:
            mode = path.lstat().st_mode
        except OSError:
            return ""
        if not S_ISREG(mode) and not path.is_file():
            return "exists and is not a file that can be replaced"
        return "" if self.force or self.is_ours(path) else STRANGER

    def refuse_strangers(self, paths: Iterable[Path]) -> None:
        """Raise before any work where a file that is not ours has a name we would write."""
        found: dict[str, list[str]] = {}
        for path in paths:
            if obstacle := self.obstacle(path):
                found.setdefault(obstacle, []).append(str(path))
        if found:
            raise OutputError("; ".join(f"{_some(each)} {why}" for why, each in found.items()))

    # --- making ----------------------------------------------------------------------------

    @contextmanager
    def making(
        self, path: Path, digest: str = "", made_from: Mapping[str, str] | None = None
    ) -> Iterator[Path]:
        """Yield a path to write to; when the block succeeds the file appears under ``path``.

        When it fails, Ctrl-C included, nothing is left and ``path`` is as it was.
        """
        with self.making_all([path], digest, made_from) as parts:
            yield parts[path]

    def write_text(self, name: str, text: str, made_from: Mapping[str, str]) -> list[str]:
        """Write a text made by the engine where it is not current; return its name if written."""
        if self.holds_text(name, text):
            return []
        with self.making(self.folder / name, _text_digest(text), made_from) as part:
            part.write_text(text, "utf-8", newline="\n")
        return [name]

    @contextmanager
    def making_all(
        self,
        paths: Sequence[Path],
        digest: str = "",
        made_from: Mapping[str, str] | None = None,
    ) -> Iterator[dict[Path, Path]]:
        """Yield where to write each file; all appear when the block succeeds, none if it fails."""
        check_unique((self._name(path), path.name) for path in dict.fromkeys(paths))
        self.refuse_strangers(paths)
        with ExitStack() as stack:
            parts = {}
            for path in paths:
                parts[path] = self.work_path(path)
                stack.callback(self.discard, [parts[path]])
            yield parts
            made = [Finished(part, path, digest, made_from or {}) for path, part in parts.items()]
            for _, error in self.adopt(made):
                raise error

    def work_path(self, path: Path) -> Path:
        """Return a fresh path of the same suffix for a file to grow in; :meth:`discard` it."""
        self._name(path)
        try:
            part = self._work.new_part(path.suffix)
        except OSError as error:
            raise cannot_write(path, error) from error
        self._is_new[part] = not os.path.lexists(path)
        return part

    def discard(self, parts: Iterable[Path]) -> None:
        """Remove part files, moved into place or not."""
        for part in parts:
            self._work.remove(part)
            self._is_new.pop(part, None)

    def adopt(
        self, finished: Sequence[Finished], *, is_synced: bool = False
    ) -> list[tuple[Finished, OutputError]]:
        """Put finished files in place: data, journal, renames, folders; return the failures.

        A file that appeared since the work began is left as it is, with ``force`` too.
        ``is_synced`` says that the files' data is on the disk already.
        """
        failed: list[tuple[Finished, OutputError]] = []
        ready: list[tuple[Finished, Entry]] = []
        for file in finished:
            try:
                if not self._is_new[file.part]:
                    self.refuse_strangers([file.path])
                make_folder(file.path.parent)
                entry = self._entry(file)
                if not is_synced and (self._is_locked or entry.size_bytes <= SYNC_BYTES):
                    sync_file(file.part)
                ready.append((file, entry))
            except OutputError as error:
                failed.append((file, error))
            except OSError as error:
                failed.append((file, cannot_write(file.path, error)))
        try:
            self._made.append([entry for _, entry in ready])
        except OSError as error:
            return [*failed, *((file, cannot_write(file.path, error)) for file, _ in ready)]
        for file, _ in ready:
            try:
                place_file(file.part, file.path, replace=not self._is_new[file.part])
            except OSError as error:
                failed.append((file, _not_placed(file.path, error)))
        for folder in dict.fromkeys(file.path.parent for file, _ in ready):
            sync_folder(folder)
        return failed

    # --- whole builds ------------------------------------------------------------------------

    @contextmanager
    def locked(self) -> Iterator[OutputFolder]:
        """Hold the folder alone; sweep what killed runs left in ``work/``."""
        import platform

        from filelock import FileLock, Timeout

        holder = self._hidden / "holder"
        try:
            make_folder(self._hidden)
            with FileLock(self._hidden / "lock", timeout=0):
                self._is_locked = True
                self._made.reload()
                self._work.sweep()
                holder.write_text(f"process {os.getpid()} on {platform.node()}", "utf-8")
                try:
                    yield self
                finally:
                    self._is_locked = False
                    holder.unlink(missing_ok=True)
        except Timeout as error:
            raise OutputError(
                f"another porchswing ({text_at(holder) or 'just starting'}) is writing into "
                f"{self.folder}; wait until it has ended, or choose another folder"
            ) from error
        except OSError as error:
            raise cannot_write(self.folder, error) from error

    def write_manifest(self, about: Mapping[str, Any]) -> Path:
        """Write ``manifest.json`` (whole or not at all) and shorten the journal to match it.

        The manifest states the files that are there.
        """
        path = self.folder / MANIFEST
        part, rest = self.work_path(path), self.work_path(path)
        try:
            part.write_bytes(manifest_text(self._made.in_place(), about).encode("utf-8", "replace"))
            sync_file(part)
            part.replace(path)
            sync_folder(self.folder)
            self._made.shorten_journal(rest)
        except OSError as error:
            raise cannot_write(path, error) from error
        finally:
            self.discard([part, rest])
        return path

    def prune(
        self, wanted: Iterable[str], among: Iterable[str] | None = None
    ) -> tuple[list[str], list[str]]:
        """Remove files of ours that are no longer wanted; return removed and kept-as-edited.

        ``among`` names what may go; by default that is what a lesson or a build wrote, files with
        a digest: what a single command was asked for stays, also while it runs. They are read
        before: their content must be what we wrote, whatever their times say.
        """
        removed: list[str] = []
        edited: list[str] = []
        if among is None:
            among = (name for name, entry in self.entries.items() if entry.digest)
        for name in sorted(self.entries.keys() & set(among) - set(wanted)):
            path = self.folder / name
            if path.exists() and not self._made.is_ours(name, verify=True):
                edited.append(name)
                continue
            path.unlink(missing_ok=True)
            removed.append(name)
            self._made.forget(name)
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

    def _entry(self, file: Finished) -> Entry:
        stat = file.part.stat()
        return Entry(
            self._name(file.path),
            file.digest,
            file.sha256 or file_sha256(file.part),
            stat.st_size,
            stat.st_mtime_ns,
            tuple(sorted(file.made_from.items())),
            stat.st_ino,
        )


def _text_digest(text: str) -> str:
    return digest_of([engine_digest(), text])


def _not_placed(path: Path, error: OSError) -> OutputError:
    if isinstance(error, FileExistsError):
        return OutputError(f"{path} appeared while it was being made, and is left as it is")
    return cannot_write(path, error)


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
