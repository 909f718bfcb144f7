"""The socket: answers every message of the page and sends it the changes on disk."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.websockets import WebSocket, WebSocketDisconnect
from watchfiles import awatch

from porchswing.bench.server.chart_file import ChangedOnDiskError, ChartFile, Saved
from porchswing.bench.server.session import Session
from porchswing.bench.shown.actions import act
from porchswing.bench.shown.making import lesson_groups, lesson_order, make_order
from porchswing.bench.shown.sound_bank import gamut
from porchswing.errors import ChartError, OutputError, PorchswingError
from porchswing.grips.shapes.tunings import tuning

LATEST_ONLY = ("look", "hear", "offers", "doubts")
"""Of these only the newest that waits is answered with its result; older ones are stale."""

IN_BACK = ("keys", "doubts")
"""Actions that nobody waits for."""


class Live:
    """The conversations with the pages that are open, all on one session."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._pages: set[Page] = set()
        self._watching: asyncio.Task[None] | None = None

    @asynccontextmanager
    async def lifespan(self, app: Starlette) -> AsyncIterator[None]:
        """Make the instrument's notes ready and watch the chart while the server runs."""
        ready = asyncio.create_task(self._ready())
        self.watch()
        yield
        for task in (ready, self._watching):
            if task is not None:
                task.cancel()
                with suppress(asyncio.CancelledError):
                    await task
        self._session.close()

    async def _ready(self) -> None:
        for wanted in gamut(tuning("gCEA")):
            await self._session.in_back(self._session.bank.add, wanted)

    def watch(self) -> None:
        """Watch the open chart's folder, and no other any more."""
        if self._watching is not None:
            self._watching.cancel()
        if self._session.file is not None:
            self._watching = asyncio.create_task(self._watch(self._session.file))

    async def _watch(self, file: ChartFile) -> None:
        digest = file.digest()
        watched = awatch(
            file.path.parent,
            watch_filter=lambda _, path: Path(path) == file.path,
            recursive=False,
            step=20,
            debounce=60,
        )
        async for _ in watched:
            new = await asyncio.to_thread(file.digest)
            if new != digest:
                digest = new
                await self._tell(await asyncio.to_thread(_disk_event, file))

    async def _tell(self, message: dict[str, Any]) -> None:
        for page in tuple(self._pages):
            with suppress(RuntimeError, WebSocketDisconnect):
                await page.send(message)

    async def serve(self, socket: WebSocket) -> None:
        """Hold one conversation until the page goes away."""
        await socket.accept()
        page = Page(socket, self._session, self)
        self._pages.add(page)
        try:
            await page.converse()
        finally:
            self._pages.discard(page)


def _disk_event(file: ChartFile) -> dict[str, Any]:
    """Return what pages are sent when the chart on disk has changed."""
    try:
        saved = file.read()
    except ChartError as error:
        return {"event": "unreadable", "message": str(error)}
    return {"event": "disk", **asdict(saved)} if saved.digest else {"event": "deleted"}


class Page:
    """One open page."""

    def __init__(self, socket: WebSocket, session: Session, live: Live) -> None:
        self._socket, self._session, self._live = socket, session, live
        self._newest: dict[str, int] = {}
        self._tasks: set[asyncio.Task[None]] = set()
        self._sending = asyncio.Lock()

    async def send(self, message: dict[str, Any]) -> None:
        """Send one message whole."""
        async with self._sending:
            await self._socket.send_json(message)

    async def converse(self) -> None:
        """Answer messages until the page closes its socket."""
        try:
            while True:
                ask = await self._socket.receive_json()
                if not isinstance(ask, dict) or not isinstance(ask.get("id"), int):
                    continue
                if ask.get("do") in LATEST_ONLY:
                    self._newest[ask["do"]] = ask["id"]
                task = asyncio.create_task(self._answer(ask))
                self._tasks.add(task)
                task.add_done_callback(self._tasks.discard)
        except (WebSocketDisconnect, KeyError, ValueError):
            pass
        finally:
            for task in tuple(self._tasks):
                task.cancel()

    async def _answer(self, ask: dict[str, Any]) -> None:
        number, name = ask["id"], str(ask.get("do"))
        try:
            answer = await self._done(name, ask)
        except ChangedOnDiskError as error:
            answer = {"conflict": asdict(error.theirs)}
        except ChartError as error:
            answer = {"error": str(error), "wrong": True}
        except PorchswingError as error:
            answer = {"error": str(error)}
        with suppress(RuntimeError, WebSocketDisconnect):
            await self.send({**answer, "id": number})

    async def _done(self, name: str, ask: dict[str, Any]) -> dict[str, Any]:
        own = getattr(self, f"_do_{name.replace(' ', '_')}", None)
        if own is not None:
            found: dict[str, Any] = await own(ask)
            return found
        place = self._session.in_back if name in IN_BACK else self._session.in_front
        if name == "save strum":
            ask = {**ask, "folder": str(self._session.folder / "patterns")}
        return await place(self._act, name, ask)

    def _act(self, name: str, ask: dict[str, Any]) -> dict[str, Any]:
        """Act on a message unless a newer one has taken its place meanwhile."""
        if name in LATEST_ONLY and self._newest.get(name) != ask["id"]:
            return {"stale": True}
        return act(ask, self._session.bank)

    def _file(self) -> ChartFile:
        if self._session.file is None:
            raise OutputError("no chart is open")
        return self._session.file

    async def _do_hello(self, ask: dict[str, Any]) -> dict[str, Any]:
        """Say what is open, or what can be."""
        if self._session.file is None:
            return await asyncio.to_thread(self._session.charts)
        saved: Saved = await asyncio.to_thread(self._session.file.read)
        return {"name": self._session.file.path.name, **asdict(saved), "groups": lesson_groups()}

    async def _do_charts(self, ask: dict[str, Any]) -> dict[str, Any]:
        """Say what can be opened."""
        return await asyncio.to_thread(self._session.charts)

    async def _do_open(self, ask: dict[str, Any]) -> dict[str, Any]:
        kind, name = str(ask.get("kind")), str(ask.get("name"))
        await asyncio.to_thread(self._session.open_chart, kind, name)
        self._live.watch()
        return await self._do_hello(ask)

    async def _do_save(self, ask: dict[str, Any]) -> dict[str, Any]:
        text, base = str(ask.get("text", "")), str(ask.get("base", ""))
        return {"digest": await asyncio.to_thread(self._file().save, text, base)}

    async def _do_set_aside(self, ask: dict[str, Any]) -> dict[str, Any]:
        path = await asyncio.to_thread(self._file().set_aside, str(ask.get("text", "")))
        return {"name": path.name}

    async def _do_make(self, ask: dict[str, Any]) -> dict[str, Any]:
        """Make a lesson, telling how far it is."""
        loop = asyncio.get_running_loop()

        def on_progress(share: float) -> None:
            message = {"event": "progress", "share": round(share, 3)}
            asyncio.run_coroutine_threadsafe(self.send(message), loop)

        source, folder = lesson_order(ask, self._file().path)
        made = await self._session.in_back(make_order, source, folder, on_progress)
        self._session.made_folders[folder.name] = folder
        return {**made, "address": f"made/{folder.name}/{made['index']}"}
