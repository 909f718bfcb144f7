"""Serving the bench on this machine alone, until it is interrupted."""

from __future__ import annotations

import os
import secrets
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from porchswing.errors import OutputError, missing_extra

HOST = "127.0.0.1"
MOST_BYTES = 2**23
"""The largest message of a page."""


def serve(folder: Path, chart: Path | None, port: int, on_ready: Callable[[str], None]) -> None:
    """Serve the bench until Ctrl-C; ``on_ready`` gets the address once it answers.

    ``port`` 0 takes a free one.

    Raises
    ------
    MissingExtraError
        Where the extra ``bench`` is not installed.
    OutputError
        Where the port is taken.
    ChartError
        Where the chart is there and cannot be read.
    """
    try:
        import uvicorn

        from porchswing.bench.server.app import bench_app
        from porchswing.bench.server.session import Session
    except ImportError as error:
        raise missing_extra("the bench", "bench") from error
    session = Session(folder, chart)
    if session.file is not None:
        session.file.read()
    listening = _listen(port)
    port = listening.getsockname()[1]
    token = secrets.token_urlsafe(24)

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            on_ready(f"http://{HOST}:{port}/{token}/")

    config = uvicorn.Config(
        bench_app(session, token, port),
        log_level="critical",
        access_log=False,
        server_header=False,
        ws="websockets-sansio",
        ws_max_size=MOST_BYTES,
        timeout_graceful_shutdown=1,
    )
    with listening, suppress(KeyboardInterrupt):
        Server(config).run([listening])
    if session.is_busy:  # the chart is saved; nobody waits for boards of a page that is gone
        os._exit(0)


def _listen(port: int) -> socket.socket:
    """Return a socket that listens on this machine alone."""
    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as error:
        listening.close()
        raise OutputError(
            f"cannot listen on port {port}: {error.strerror}; try another --port"
        ) from error
    return listening
