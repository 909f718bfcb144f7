"""Files that appear whole, are written through to the disk and locked; the data we ship.

A file is written beside its final place and renamed into it, so that a reader, a killed
process or Ctrl-C never sees half of one. What is synced is still there after a power cut: Linux and
Windows flush a file and the drive behind it with ``fsync``; macOS needs ``F_FULLFSYNC`` for the
drive. A folder is synced to keep the names in it; Windows cannot open a folder and keeps its names
by itself.

Locks are advisory: ``flock`` on POSIX systems, ``msvcrt`` on Windows. The system releases one when
its holder dies.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from porchswing.errors import OutputError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

BINARY = getattr(os, "O_BINARY", 0)
"""Flag that keeps Windows from changing line ends; 0 elsewhere."""

_CANNOT_SYNC = {errno.EINVAL, errno.ENOTSUP, errno.EROFS, errno.EBADF, errno.EACCES, errno.EISDIR}


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Yield a temporary path beside ``path``; rename it into place when the block succeeds.

    The folder is made where it does not exist. When the block raises anything, Ctrl-C
    included, the temporary file is removed and ``path`` is left as it was.
    """
    part = path.with_name(f".{path.stem[:40]}.{os.urandom(8).hex()}{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.touch(exist_ok=False)
    except OSError as error:
        raise cannot_write(path, error) from error
    try:
        yield part
        part.replace(path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        part.unlink(missing_ok=True)


def write_whole(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` whole or not at all."""
    with whole_file(path) as part:
        part.write_bytes(data)


def cannot_write(path: Path, error: OSError) -> OutputError:
    """Return the error with the reason, in one sentence, why a file cannot be written."""
    is_inside_a_file = isinstance(error, FileExistsError | NotADirectoryError)
    why = "its folder is a file" if is_inside_a_file else error.strerror or error
    return OutputError(f"cannot write {path}: {why}")


def shipped(folder: str) -> Traversable:
    """Return the folder of data (``patterns``, ``demos``) that ships with the package.

    In an installed wheel, zipped or not, it lies inside the package; in a checkout beside
    ``engine/``.
    """
    package = Path(__file__).resolve().parents[1]
    for place in (package / folder, package.parents[1] / folder):
        if place.is_dir():
            return place
    from importlib.resources import files  # asked last: its import costs a command 2 ms

    zipped = files("porchswing") / folder
    if not zipped.is_dir():
        raise OutputError(f"this copy of porchswing has lost its {folder} folder; install it again")
    return zipped


@contextmanager
def opened(path: Path, flags: int) -> Iterator[int]:
    """Yield the handle of a file or folder; it is closed when the block ends."""
    handle = os.open(path, flags | BINARY, 0o666)
    try:
        yield handle
    finally:
        os.close(handle)


def lock(handle: int, *, wait: bool = True) -> bool | None:
    """Take the lock of an open file; it is released when the file is closed.

    Return False where another holds it and ``wait`` is off, None on a file system without locks.
    """
    module = _lock_module()
    if module is None:
        return None
    try:
        if hasattr(module, "flock"):
            module.flock(handle, module.LOCK_EX | (0 if wait else module.LOCK_NB))
        else:
            os.lseek(handle, 0, os.SEEK_SET)
            module.locking(handle, module.LK_LOCK if wait else module.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return None
    return True


def _lock_module() -> Any:
    """Return the module with this system's locks, None without one."""
    name = "msvcrt" if sys.platform == "win32" else "fcntl"
    try:
        return import_module(name)
    except ImportError:
        return None


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
