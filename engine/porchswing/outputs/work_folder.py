"""Where files grow, and how a whole one gets its final name.

Every command holds the lock of the file ``live`` in its own folder below ``work/``. A sweep
removes the folders whose lock is free, so it never touches another live command's files, on
this machine or another. Where a file system has no locks, folders older than a day are removed.
"""

from __future__ import annotations

import errno
import os
import shutil
import time
from contextlib import suppress
from pathlib import Path

from porchswing.outputs.files import BINARY, lock, sync_file
from porchswing.outputs.manifest import HIDDEN

_LIVE = "live"
_DAY_S = 86_400.0


class WorkFolder:
    """The part files of this command below ``top``; the folder exists while there are any."""

    def __init__(self, top: Path) -> None:
        self._top = top
        self._own: Path | None = None
        self._live = -1
        self._parts: set[Path] = set()

    def new_part(self, suffix: str) -> Path:
        """Return a fresh path for a file to grow in; :meth:`remove` it when done."""
        if self._own is None:
            self._open()
        assert self._own is not None
        part = self._own / f"{os.urandom(8).hex()}{suffix}"
        self._parts.add(part)
        return part

    def remove(self, part: Path) -> None:
        """Remove a part, moved away or not, and the folder with the last of them."""
        with suppress(OSError):
            part.unlink(missing_ok=True)
        self._parts.discard(part)
        if not self._parts and self._own is not None:
            self._close(self._own)

    def sweep(self) -> None:
        """Remove what killed commands left."""
        with suppress(OSError):
            for entry in list(os.scandir(self._top)):
                if self._own is None or entry.name != self._own.name:
                    _sweep_one(Path(entry.path))

    def _open(self) -> None:
        self.sweep()
        while self._own is None:
            folder = self._top / f"{os.getpid()}-{os.urandom(8).hex()}"
            folder.mkdir(parents=True)
            try:
                self._live = os.open(folder / _LIVE, os.O_RDWR | os.O_CREAT | BINARY, 0o666)
            except FileNotFoundError:  # a sweep removed it while it was empty
                continue
            taken = lock(self._live, wait=False) is not False
            if taken and (folder / _LIVE).exists():  # no sweep came between
                self._own = folder
            else:
                os.close(self._live)

    def _close(self, own: Path) -> None:
        self._own = None
        os.close(self._live)
        shutil.rmtree(own, ignore_errors=True)


def _sweep_one(folder: Path) -> None:
    """Remove one command's folder unless the command lives; anything else when a day old."""
    try:
        live = os.open(folder / _LIVE, os.O_RDWR | BINARY)
    except OSError:  # a stray file, or a folder just being made or removed
        with suppress(OSError):  # it holds something
            folder.rmdir()
        _remove_old(folder)
        return
    free = lock(live, wait=False)
    if free:
        shutil.rmtree(folder, ignore_errors=True)
    os.close(live)
    if free:
        shutil.rmtree(folder, ignore_errors=True)  # Windows removes no file that is open
    elif free is None:
        _remove_old(folder)


def _remove_old(path: Path) -> None:
    with suppress(OSError):
        if time.time() - path.stat().st_mtime > _DAY_S:
            shutil.rmtree(path) if path.is_dir() else path.unlink()


def place_file(part: Path, path: Path, *, replace: bool) -> None:
    """Move ``part`` to ``path``; without ``replace`` an existing file is an error.

    A file that appears at the last moment is an error too, never replaced. A part on another file
    system is copied beside ``path`` first.
    """
    try:
        _move(part, path, replace)
        return
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
    hidden = path.parent / HIDDEN
    work = WorkFolder(hidden / "work")
    copy = work.new_part(path.suffix)
    try:
        shutil.copy2(part, copy)
        sync_file(copy)
        _move(copy, path, replace)
        part.unlink()
    finally:
        work.remove(copy)
        for folder in (hidden / "work", hidden):
            with suppress(OSError):  # it holds something else
                folder.rmdir()


def _move(part: Path, path: Path, replace: bool) -> None:
    if replace:
        part.replace(path)
        return
    try:
        os.link(part, path)  # unlike a rename it fails where the name is taken
    except FileExistsError:
        raise
    except (OSError, AttributeError, NotImplementedError):  # a file system without links
        if os.path.lexists(path):  # Windows refuses a taken name by itself
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path)) from None
        part.rename(path)
    else:
        part.unlink()
