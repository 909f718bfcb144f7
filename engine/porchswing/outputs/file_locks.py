"""Advisory locks on open files: ``flock`` on POSIX systems, ``msvcrt`` on Windows.

The system releases a lock when its holder dies. Where a file system has no locks, nothing is
held and nothing is refused: the age of a file then decides what is swept.
"""

from __future__ import annotations

import os
import sys
from typing import Any


def lock(handle: int, *, wait: bool = True) -> bool | None:
    """Take the lock of an open file; it is released when the file is closed.

    Return False where another holds it and ``wait`` is off, None on a file system without locks.
    """
    module = _module()
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


def _module() -> Any:
    """Return the module with this system's locks, None without one."""
    name = "msvcrt" if sys.platform == "win32" else "fcntl"
    try:
        return __import__(name)
    except ImportError:
        return None
