"""The chart on disk: the bench's only state. It is written whole, and never over other work."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from porchswing.chart.chart_text import chart_bytes, decoded
from porchswing.chart.limits import MAX_CHART_CHARACTERS
from porchswing.errors import OutputError
from porchswing.outputs.files import whole_file

SUFFIX = ".changes"
NEW_CHART = "title:  Untitled\nkey:    C\nmeter:  4/4\ntempo:  120\n\n[A]\n| C | C | G7 | C |\n"
"""What a new chart says at first."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A text and the digest of the bytes it has on disk (``""``: no such file)."""

    text: str
    digest: str


class ChangedOnDiskError(OutputError):
    """The file holds other text than the page began from; ``theirs`` is that text."""

    def __init__(self, theirs: Saved) -> None:
        self.theirs = theirs
        super().__init__("the file was changed by another program")


class ChartFile:
    r"""One chart file; texts have ``\\n`` for line ends here and keep their own on disk."""

    def __init__(self, path: Path) -> None:
        self.path = path.resolve()

    def read(self) -> Saved:
        """Return the file's text; a new chart where there is no file.

        Raises
        ------
        ChartError
            Where the file cannot be read as text.
        """
        if not self.path.exists():
            return Saved(NEW_CHART, "")
        data = chart_bytes(self.path)
        text = decoded(data, str(self.path)).replace("\r\n", "\n").replace("\r", "\n")
        return Saved(text, hashlib.sha256(data).hexdigest())

    def digest(self) -> str:
        """Return the digest of the bytes on disk, ``""`` where there is no file."""
        try:
            return hashlib.sha256(self.path.read_bytes()).hexdigest()
        except OSError:
            return ""

    def save(self, text: str, base: str) -> str:
        """Write a text that was begun from the bytes of digest ``base``; return the new digest.

        A file that was deleted meanwhile is written again.

        Raises
        ------
        ChangedOnDiskError
            Where the file was changed by another program; nothing is written.
        OutputError
            Where the file cannot be written; it stays as it was.
        """
        if len(text) > MAX_CHART_CHARACTERS:
            raise OutputError(f"a chart has at most {MAX_CHART_CHARACTERS:,} characters")
        old = self._bytes()
        on_disk = hashlib.sha256(old).hexdigest() if old is not None else ""
        data = _as_on_disk(text, old or b"")
        if on_disk and on_disk != base and old != data:
            raise ChangedOnDiskError(self.read())
        if old != data:
            with whole_file(self.path) as part:
                part.write_bytes(data)
                if old is not None:
                    part.chmod(self.path.stat().st_mode & 0o777)
        return hashlib.sha256(data).hexdigest()

    def set_aside(self, text: str) -> Path:
        """Write a text beside the file, under a new name, and return it."""
        for number in range(1, 1000):
            path = self.path.with_name(f"{self.path.stem}.other-{number}{SUFFIX}")
            if not path.exists():
                with whole_file(path) as part:
                    part.write_bytes(_as_on_disk(text, self._bytes() or b""))
                return path
        raise OutputError(f"{self.path.parent} is full of set-aside copies of {self.path.name}")

    def _bytes(self) -> bytes | None:
        try:
            return self.path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise OutputError(f"cannot read {self.path.name}: {error.strerror}") from error


def _as_on_disk(text: str, old: bytes) -> bytes:
    """Return a text's bytes with the line ends and the byte order mark the file had."""
    data = text.encode()
    if b"\r\n" in old:
        data = data.replace(b"\n", b"\r\n")
    mark = b"\xef\xbb\xbf"
    return mark + data if old.startswith(mark) and not data.startswith(mark) else data
