"""A lesson as a site: the same files, pages that load their sounds apart, a worker for offline.

In a folder a practice page carries its sounds as text; over a network they come as files of
their own, so that the page is small and shows at once. The worker keeps what was opened.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from importlib import resources
from pathlib import Path

from porchswing.errors import OutputError
from porchswing.pages.look import policy_source

INDEX = "index.html"
WORKER = "offline.js"
KEPT_AT_ONCE = (".html", ".pdf", ".sounds.mp3", ".band.mp3")
"""Endings of the files the worker keeps with the first visit; others when they are opened."""

MOST_PAGE_BYTES = 50_000_000
"""A larger page is served as it is."""

_BASE64 = "([A-Za-z0-9+/=]+)"
_SOUNDS = (
    (
        ".sounds.mp3",
        re.compile(rf'(?<=<script type="text/plain" id="audio")>{_BASE64}(?=</script>)'),
        ' data-src="{}">',
    ),
    (".band.mp3", re.compile(rf'(?<=src=")data:audio/mpeg;base64,{_BASE64}(?=")'), "{}"),
)
"""The sounds inside a page: the ending of their file, where they are, what points to the file."""

_REGISTER = "if (navigator.serviceWorker) navigator.serviceWorker.register('offline.js');"


@dataclass(frozen=True, slots=True)
class SiteFile:
    """One file of a site: ``content``, or the ``path`` it is read from."""

    content: bytes = b""
    path: Path | None = None

    def read(self) -> bytes:
        """Return the whole content; a path that has become a link is refused."""
        if self.path is None:
            return self.content
        handle = os.open(self.path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(handle, "rb") as file:
            return file.read()


def site_files(folder: Path) -> dict[str, SiteFile]:
    """Return the files of a lesson's site by name, from the lesson's folder.

    Hidden files, links and the manifest are left out: what has no name here cannot be read.
    """
    if not (folder / INDEX).is_file():
        raise OutputError(f"{folder} is no lesson: it has no {INDEX}")
    found: dict[str, SiteFile] = {}
    for name, path in _plain_files(folder):
        if name.endswith(".html") and path.stat().st_size <= MOST_PAGE_BYTES:
            found.update(_page_files(name, path.read_text("utf-8")))
        else:
            found[name] = SiteFile(path=path)
    found[WORKER] = SiteFile(_worker(found).encode("utf-8"))
    return found


def _plain_files(folder: Path) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.is_symlink() or path.name == "manifest.json":
            continue
        if path.is_dir():
            yield from ((f"{path.name}/{name}", each) for name, each in _plain_files(path))
        elif path.is_file():
            yield path.name, path


def _page_files(name: str, text: str) -> dict[str, SiteFile]:
    """Return a page of the site, and the sounds that were inside it."""
    found: dict[str, SiteFile] = {}
    for ending, pattern, link in _SOUNDS:
        if inside := pattern.search(text):
            file = name.removesuffix(".html") + ending
            found[file] = SiteFile(base64.b64decode(inside[1]))
            to_file = link.format(file.rpartition("/")[2])
            text = text[: inside.start()] + to_file + text[inside.end() :]
    up = "../" * name.count("/")
    offline = '<meta name="offline" content="'
    text = text.replace(f'{offline}">', f'{offline}{up}{WORKER}">', 1)
    text = text.replace("media-src data:;", "media-src 'self'; connect-src 'self';", 1)
    if name == INDEX:
        text = _registering(text)
    found[name] = SiteFile(text.encode("utf-8"))
    return found


def _registering(text: str) -> str:
    """Return an index page that keeps the site for later; its policy allows that and no more."""
    allowed = (
        f"default-src 'none'; script-src {policy_source(_REGISTER)}; "
        "worker-src 'self'; connect-src 'self'"
    )
    text = text.replace("default-src 'none'", allowed, 1)
    return text.replace("</body>", f"<script>{_REGISTER}</script>\n</body>", 1)


def _worker(files: Mapping[str, SiteFile]) -> str:
    """Return the service worker, with the names it keeps and a version of their content."""
    names = sorted(name for name in files if name.endswith(KEPT_AT_ONCE))
    version = hashlib.sha256()
    for name in names:
        version.update(name.encode() + files[name].read())
    text = resources.files(__package__).joinpath(WORKER).read_text("utf-8")
    head = (
        f"const VERSION = {json.dumps(version.hexdigest()[:16])};\n"
        f"const NAMES = {json.dumps(['./', *names])};\n"
    )
    return head + text


def qr_page(address: str, code_svg: str) -> str:
    """Return a page with nothing but a code to point a phone at, and the address it means."""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width"><title>For your phone</title>'
        "<style>body{margin:0;min-height:100vh;display:grid;place-content:center;gap:1rem;"
        "background:#fff;color:#000;font:1.4rem sans-serif;text-align:center}"
        "svg{width:min(70vmin,34rem);height:auto}</style></head>"
        f"<body><main><h1>Point your phone here</h1>{code_svg}<p>{escape(address)}</p></main>"
        "</body></html>"
    )


def write_site(files: Mapping[str, SiteFile], folder: Path) -> int:
    """Write a site into a new or empty folder; return how many bytes it has."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(f"{folder} must be a new or an empty folder")
    total = 0
    for name, file in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        total += path.write_bytes(file.read())
    return total
