"""Files that a folder of outputs made."""

from __future__ import annotations

from pathlib import Path

from porchswing.outputs.folder import OutputFolder


def make(folder: OutputFolder, name: str, data: bytes = b"music", digest: str = "d") -> Path:
    """Make a file in a folder, as a lesson or a build does; a single command gives no digest."""
    path = folder.folder / name
    with folder.making(path, digest, {"chart": "a"}) as part:
        part.write_bytes(data)
    return path
