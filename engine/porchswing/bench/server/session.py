"""What the server holds while it runs: the open chart, the sounds, the threads that work."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any, TypeVar

from porchswing.bench.server.chart_file import SUFFIX, ChartFile
from porchswing.bench.shown.sound_bank import SoundBank
from porchswing.errors import OutputError
from porchswing.outputs.files import shipped
from porchswing.outputs.names import file_word

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
