"""The bench's addresses (page, files, sounds, what was made, the socket), and who may use them.

The guard follows OWASP's cheat sheets on cross-site request forgery, WebSockets and HTTP headers,
and Mozilla's web security guidelines: a server on the loopback address is reached by every page the
browser has open, so the host name (DNS rebinding), the origin (cross-site requests, WebSockets)
and a random token in the address are all checked, and nothing is ever allowed across origins.
"""

from __future__ import annotations

import hmac
import secrets
from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp, Message, Receive, Scope, Send

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


METHODS = ("GET", "HEAD")
"""Nothing is changed by an HTTP request: what changes anything comes through the socket."""

HEADERS = (
    (b"cache-control", b"no-store"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
)
"""Headers of every answer."""

_REFUSED = b"porchswing bench: this address is not for you\n"


class Guard:
    """An ASGI application that lets only the bench's own page through to another one."""

    def __init__(self, app: ASGIApp, token: str, port: int) -> None:
        self._app, self._token = app, token
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, its path without the token, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        status = self._refusal(scope)
        if status:
            await _refuse(scope, send, status)
            return
        path = scope["path"].removeprefix(f"/{self._token}")
        inner = {**scope, "path": path, "raw_path": path.encode()}

        async def carrying(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *HEADERS]
            await send(message)

        await self._app(inner, receive, carrying)

    def _refusal(self, scope: Scope) -> int:
        """Return the status a request is refused with, 0 where it may pass."""
        headers = {
            name.decode("latin-1").lower(): value.decode("latin-1")
            for name, value in scope["headers"]
        }
        host, origin = headers.get("host", ""), headers.get("origin")
        first = scope["path"].split("/")[1] if scope["path"].startswith("/") else ""
        refusals = (
            (host not in self._hosts, 421),
            (origin is not None and origin != f"http://{host}", 403),
            (headers.get("sec-fetch-site", "none") not in ("same-origin", "none"), 403),
            (scope["type"] == "websocket" and origin is None, 403),
            (scope["type"] == "http" and scope["method"] not in METHODS, 405),
            (not hmac.compare_digest(first.encode(), self._token.encode()), 404),
        )
        return next((status for is_refused, status in refusals if is_refused), 0)


async def _refuse(scope: Scope, send: Send, status: int) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", b"text/plain; charset=utf-8"), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": _REFUSED})
