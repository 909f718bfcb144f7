"""Files that appear whole or not at all, and the data files that ship with the package.

A file is written beside its final place and renamed into it, so that a reader, a killed
process or Ctrl-C never sees half of one.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from porchswing.errors import OutputError


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Yield a temporary path beside ``path``; rename it into place when the block succeeds.

    The folder is made where it does not exist. When the block raises anything, Ctrl-C
    included, the temporary file is removed and ``path`` is left as it was.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(
            prefix=f".{path.stem[:40]}.", suffix=path.suffix, dir=path.parent
        )
        os.close(handle)
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}") from error
    part = Path(name)
    try:
        part.chmod(0o666 & ~_umask())
        yield part
        part.replace(path)
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        part.unlink(missing_ok=True)


def write_whole(path: Path, data: bytes) -> None:
    """Write ``data`` to ``path`` whole or not at all."""
    with whole_file(path) as part:
        part.write_bytes(data)


def shipped(folder: str) -> Traversable:
    """Return the folder of data (``patterns``, ``demos``) that ships with the package.

    In an installed wheel, zipped or not, it lies inside the package; in a checkout beside
    ``engine/``.
    """
    inside = files("porchswing") / folder
    if inside.is_dir():
        return inside
    beside = Path(__file__).resolve().parents[2] / folder
    if not beside.is_dir():
        raise OutputError(f"this copy of porchswing has lost its {folder} folder; install it again")
    return beside


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
