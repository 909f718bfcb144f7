"""What the server holds while it runs: the open chart, the sounds, the threads that work.

The chart on disk is the bench's only state. It is written whole, and never over other work.
"""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.chart.chart_text import chart_bytes, decoded
from porchswing.chart.limits import MAX_CHART_CHARACTERS
from porchswing.errors import OutputError
from porchswing.outputs.files import shipped, whole_file
from porchswing.outputs.names import file_word

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


T = TypeVar("T")

MOST_LISTED = 200
"""How many charts of a folder are offered."""


class Session:
    """The state of a running bench.

    Music is asked for in one thread, in the order it is asked; what takes long (a lesson, the
    keys, sounds made ready) has another, so that a key press never waits for it.
    """

    def __init__(self, folder: Path, chart: Path | None = None) -> None:
        self.folder = folder.resolve()
        self.file: ChartFile | None = ChartFile(chart) if chart else None
        self.bank = SoundBank()
        self.made_folders: dict[str, Path] = {}
        self._at_work: set[Future[Any]] = set()
        self._front = ThreadPoolExecutor(1, "bench-front")
        self._back = ThreadPoolExecutor(1, "bench-back")

    async def in_front(self, work: Callable[..., T], *given: Any) -> T:
        """Return what work returns, done in the thread a player waits for."""
        return await self._done_in(self._front, work, *given)

    async def in_back(self, work: Callable[..., T], *given: Any) -> T:
        """Return what work returns, done in the thread nobody waits for."""
        return await self._done_in(self._back, work, *given)

    async def _done_in(self, pool: ThreadPoolExecutor, work: Callable[..., T], *given: Any) -> T:
        future = pool.submit(work, *given)
        self._at_work.add(future)
        future.add_done_callback(self._at_work.discard)
        return await asyncio.wrap_future(future)

    @property
    def is_busy(self) -> bool:
        """Whether a thread is still at work, which nothing can interrupt."""
        return any(future.running() for future in tuple(self._at_work))

    def close(self) -> None:
        """Let the threads end; work that has not begun is dropped."""
        self._front.shutdown(wait=False, cancel_futures=True)
        self._back.shutdown(wait=False, cancel_futures=True)

    def charts(self) -> dict[str, Any]:
        """Return what can be opened: the folder's charts, newest first, and the demos."""
        found = [path for path in self.folder.glob(f"*{SUFFIX}") if path.is_file()]
        newest = sorted(found, key=lambda path: -path.stat().st_mtime)[:MOST_LISTED]
        demos = (item.name for item in shipped("demos").iterdir())
        return {
            "folder": str(self.folder),
            "charts": [path.name for path in newest],
            "demos": sorted(name for name in demos if name.endswith(SUFFIX)),
        }

    def open_chart(self, kind: str, name: str) -> None:
        """Open a chart of the folder, a copy of a demo, or a new one.

        Raises
        ------
        OutputError
            Where there is no such chart, or the new one's name is taken.
        """
        known = self.charts()
        if kind == "chart" and name in known["charts"]:
            self.file = ChartFile(self.folder / name)
        elif kind == "demo" and name in known["demos"]:
            self.file = ChartFile(self._free(name))
            self.file.save((shipped("demos") / name).read_text("utf-8"), "")
        elif kind == "new":
            path = self.folder / f"{file_word(name or 'untitled')}{SUFFIX}"
            if path.exists():
                raise OutputError(f"{path.name} is there already; open it, or give another name")
            self.file = ChartFile(path)
        else:
            raise OutputError(f"there is no {kind} called {name!r} in {self.folder}")

    def _free(self, name: str) -> Path:
        """Return a path in the folder that nothing has yet."""
        path, number = self.folder / name, 1
        while path.exists():
            number += 1
            path = self.folder / f"{Path(name).stem}-{number}{SUFFIX}"
        return path

    def made_file(self, address: str) -> Path | None:
        """Return a file of a folder that was made here, ``None`` for any other address."""
        name, _, rest = address.partition("/")
        folder = self.made_folders.get(name)
        if folder is None or not rest:
            return None
        path = (folder / rest).resolve()
        return path if path.is_relative_to(folder.resolve()) and path.is_file() else None
