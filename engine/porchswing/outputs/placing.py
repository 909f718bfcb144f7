"""Moving a finished file to its final name in one step, on any file system."""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import suppress
from pathlib import Path

from porchswing.outputs.manifest import HIDDEN
from porchswing.outputs.syncing import sync_file
from porchswing.outputs.work_folder import WorkFolder


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
