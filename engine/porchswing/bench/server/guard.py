"""The guard of the bench: who may reach it, and the headers of every answer.

After OWASP's cheat sheets on cross-site request forgery, WebSockets and HTTP headers, and
Mozilla's web security guidelines: a server on the loopback address is reached by every page the
browser has open, so the host name (DNS rebinding), the origin (cross-site requests, WebSockets)
and a random token in the address are all checked, and nothing is ever allowed across origins.
"""

from __future__ import annotations

import hmac

from starlette.types import ASGIApp, Message, Receive, Scope, Send

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
