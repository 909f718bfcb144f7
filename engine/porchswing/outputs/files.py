"""Files that appear whole or not at all, and the data files that ship with the package.

A file is written beside its final place and renamed into it, so that a reader, a killed
process or Ctrl-C never sees half of one.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from porchswing.errors import OutputError

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable


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
    """Return the error that says in one sentence why a file cannot be written."""
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
