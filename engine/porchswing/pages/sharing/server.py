"""A server that lets other devices read a lesson, and nothing else.

It holds the files of the site by name and answers ``GET`` and ``HEAD`` for those names alone, so
no address can reach anything outside them. Nothing can be written.
"""

from __future__ import annotations

import gzip
import re
import socket
from collections.abc import Mapping
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import unquote, urlsplit

from porchswing.pages.sharing.site import INDEX, SiteFile

LOCAL = "127.0.0.1"
READ_TIMEOUT_S = 20

TYPES = {
    "html": "text/html; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "pdf": "application/pdf",
    "zip": "application/zip",
    "mp3": "audio/mpeg",
    "flac": "audio/flac",
    "wav": "audio/wav",
    "ogg": "audio/ogg",
    "opus": "audio/ogg",
    "m4a": "audio/mp4",
    "mid": "audio/midi",
    "vtt": "text/vtt; charset=utf-8",
    "svg": "image/svg+xml",
    "musicxml": "application/vnd.recordare.musicxml+xml",
    "changes": "text/plain; charset=utf-8",
}
"""Media types by suffix; others are offered as plain bytes."""

ZIPPED = ("html", "js", "vtt", "svg", "musicxml", "changes")
"""Suffixes that are sent compressed to who takes that."""

_RANGE = re.compile(r"bytes=(?!-$)([0-9]{0,18})-([0-9]{0,18})")


class ShareServer(ThreadingHTTPServer):
    """Serves a fixed set of files by name."""

    daemon_threads = True

    def __init__(self, files: Mapping[str, SiteFile], host: str = LOCAL, port: int = 0) -> None:
        self.files = dict(files)
        super().__init__((host, port), _Client)

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.server_address[1])

    def find(self, address: str) -> tuple[str, bytes] | None:
        """Return name and content of what an address stands for, or ``None``."""
        name = unquote(urlsplit(address).path).removeprefix("/") or INDEX
        file = self.files.get(name)
        try:
            return (name, file.read()) if file is not None else None
        except OSError:
            return None

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Ignore clients that go away in the middle."""


class _Client(BaseHTTPRequestHandler):
    """Answers one client."""

    protocol_version = "HTTP/1.1"
    server_version = "porchswing"
    sys_version = ""
    timeout = READ_TIMEOUT_S
    server: ShareServer

    def do_GET(self) -> None:
        """Send a file, or its headers alone where those are asked for."""
        found = self.server.find(self.path)
        if found is None:
            self.send_error(HTTPStatus.NOT_FOUND)
            return
        name, content = found
        suffix = name.rpartition(".")[2]
        status, extra = HTTPStatus.OK, {}
        if suffix in ZIPPED and "gzip" in self.headers.get("Accept-Encoding", ""):
            content, extra = gzip.compress(content, 6, mtime=0), {"Content-Encoding": "gzip"}
        elif wanted := _range_asked(self.headers.get("Range", "")):
            status, content, extra = _part(content, *wanted)
        self.send_response(status)
        headers = {
            "Content-Type": TYPES.get(suffix, "application/octet-stream"),
            "Content-Length": str(len(content)),
            "Accept-Ranges": "bytes",
            "Cache-Control": "no-cache",
            "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "no-referrer",
            **extra,
        }
        for header, value in headers.items():
            self.send_header(header, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    do_HEAD = do_GET  # noqa: N815 - the name that http.server calls

    def log_message(self, format: str, *args: Any) -> None:
        """Log nothing."""


def _range_asked(header: str) -> tuple[str, str] | None:
    """Return first and last byte as asked for, ``None`` where there is no valid range.

    An invalid one is ignored (RFC 9110, section 14.2), as is one of several parts.
    """
    found = _RANGE.fullmatch(header)
    if found is None or (found[1] and found[2] and int(found[1]) > int(found[2])):
        return None
    return found[1], found[2]


def _part(content: bytes, first: str, last: str) -> tuple[HTTPStatus, bytes, dict[str, str]]:
    """Return the bytes a player asks for, from ``first`` to ``last``, or the last so many."""
    size = len(content)
    if first:
        start, stop = int(first), min(int(last), size - 1) if last else size - 1
    else:
        start, stop = max(0, size - int(last or 0)), size - 1
    if start > stop or start >= size:
        status = HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE
        return status, b"", {"Content-Range": f"bytes */{size}"}
    headers = {"Content-Range": f"bytes {start}-{stop}/{size}"}
    return HTTPStatus.PARTIAL_CONTENT, content[start : stop + 1], headers


def network_address() -> str | None:
    """Return this machine's address in its local network, or none; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address of documentation, never reached
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if address.startswith("127.") else address
