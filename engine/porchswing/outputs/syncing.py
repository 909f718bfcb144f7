"""Writing through to the disk: what is synced here is still there after a power cut.

Linux and Windows flush a file and the drive behind it with ``fsync``; macOS needs
``F_FULLFSYNC`` for the drive. A folder is synced to keep the names in it; Windows cannot open a
folder and keeps its names by itself.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

BINARY = getattr(os, "O_BINARY", 0)
"""Flag that keeps Windows from changing line ends; 0 elsewhere."""

_CANNOT_SYNC = {errno.EINVAL, errno.ENOTSUP, errno.EROFS, errno.EBADF, errno.EACCES, errno.EISDIR}


@contextmanager
def opened(path: Path, flags: int) -> Iterator[int]:
    """Yield the handle of a file or folder; it is closed when the block ends."""
    handle = os.open(path, flags | BINARY, 0o666)
    try:
        yield handle
    finally:
        os.close(handle)


def sync_file(path: Path) -> None:
    """Return once a file's content is on the disk."""
    with opened(path, os.O_RDWR) as handle:
        sync_handle(handle)


def sync_handle(handle: int) -> None:
    """Return once what was written to an open file is on the disk.

    A file system without syncing (some network and memory ones) is not an error.
    """
    try:
        if not _full_sync(handle):
            os.fsync(handle)
    except OSError as error:
        if error.errno not in _CANNOT_SYNC:
            raise


def sync_folder(folder: Path) -> None:
    """Return once the names in a folder are on the disk, where the system can promise that."""
    with suppress(PermissionError, IsADirectoryError), opened(folder, os.O_RDONLY) as handle:
        sync_handle(handle)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it; each new name is synced."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    for each in reversed(missing):
        each.mkdir(exist_ok=True)
        sync_folder(each.parent)
    folder.mkdir(exist_ok=True)  # raises where a file has this name


def _full_sync(handle: int) -> bool:
    """Sync with macOS' own call; return False where there is none or it is refused."""
    with suppress(ImportError, OSError):
        import fcntl

        if (full := getattr(fcntl, "F_FULLFSYNC", None)) is not None:
            fcntl.fcntl(handle, full)
            return True
    return False
