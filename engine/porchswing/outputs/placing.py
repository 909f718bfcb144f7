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
    except OSError as error:
        if error.errno != errno.EXDEV:
            raise
        _copy_and_move(part, path, replace)


def _copy_and_move(part: Path, path: Path, replace: bool) -> None:
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
    except (OSError, AttributeError, NotImplementedError):
        _rename_new(part, path)
    else:
        part.unlink()


def _rename_new(part: Path, path: Path) -> None:
    """Rename where a file system has no links; Windows refuses a taken name by itself."""
    if os.path.lexists(path):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    part.rename(path)
