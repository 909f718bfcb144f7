"""The bench's addresses: the page, its files, the sounds, what was made, and the socket."""

from __future__ import annotations

import secrets
from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp

from porchswing.bench.server.guard import Guard
from porchswing.bench.server.live import Live
from porchswing.bench.server.session import Session
from porchswing.pages.look import look_css

_TYPES = {
    ".mjs": "text/javascript",
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".txt": "text/plain",
}
_PAGE = files("porchswing.bench") / "web"
_ROOMS = {
    "": _PAGE,
    **{room: _PAGE / room for room in ("drawers", "editor", "hearing", "style")},
    "band": files("porchswing.pages.practice") / "web" / "band",
}
"""Folders of the page's files, by their name in an address."""

_BAND = ("clock.mjs", "plan.mjs", "planner.mjs", "player.mjs")
"""Modules of the practice page that the bench plays with."""


def bench_app(session: Session, token: str, port: int) -> ASGIApp:
    """Return the application that serves one session behind its guard."""
    live = Live(session)
    routes = [
        Route("/", _page),
        Route("/web/{name}", _web_file),
        Route("/web/{room}/{name}", _web_file),
        Route("/sounds/{first:int}", _sounds),
        Route("/made/{path:path}", _made),
        WebSocketRoute("/live", live.serve),
    ]
    app = Starlette(routes=routes, lifespan=live.lifespan)
    app.state.session = session
    return Guard(app, token, port)


async def _page(request: Request) -> Response:
    """Return the page; its policy lets nothing run or be fetched but its own."""
    nonce = secrets.token_urlsafe(16)
    text = (_PAGE / "bench.html").read_text("utf-8").replace("{{nonce}}", nonce)
    policy = (
        "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self'; "
        f"style-src 'self' 'nonce-{nonce}'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
    return Response(text, media_type="text/html", headers={"content-security-policy": policy})


async def _web_file(request: Request) -> Response:
    """Return a file of the page; a name that is not in its folder's list is not there."""
    room, name = request.path_params.get("room", ""), request.path_params["name"]
    if (room, name) == ("style", "look.css"):
        return Response(look_css(), media_type="text/css")
    known = {item.name: item for item in _ROOMS[room].iterdir()} if room in _ROOMS else {}
    kind = _TYPES.get(Path(name).suffix)
    if name not in known or kind is None or (room == "band" and name not in _BAND):
        return PlainTextResponse("no such file\n", 404)
    return Response(known[name].read_text("utf-8"), media_type=kind)


async def _sounds(request: Request) -> Response:
    session: Session = request.app.state.session
    data = await session.in_front(session.bank.samples, request.path_params["first"])
    return Response(data, media_type="application/octet-stream")


async def _made(request: Request) -> Response:
    path = request.app.state.session.made_file(request.path_params["path"])
    return FileResponse(path) if path else PlainTextResponse("no such file\n", 404)
