"""``porchswing share``: a lesson on a phone in the same network, or as a site for any host."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from porchswing.cli import base, options
from porchswing.errors import OutputError, missing_extra

if TYPE_CHECKING:
    from porchswing.pages.sharing.site import SiteFile

QR_PAGE = "qr.html"

TRIED = "Tried with Chromium on Linux at the sizes of phones; not tried on a real phone or tablet."
"""Which devices were tried."""


@base.command(example="porchswing share lesson/")
@click.argument(
    "folder", metavar="DIR", type=click.Path(path_type=Path, exists=True, file_okay=False)
)
@click.option(
    "--site",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Write the lesson as a site for any web host instead; it works offline once opened.",
)
@click.option("--yes", is_flag=True, help="Listen for the whole local network without asking.")
@click.option(
    "--host", metavar="ADDRESS", help="This machine's address to listen on.  [default: found]"
)
@click.option(
    "--port",
    type=options.number(0, 65535),
    default=8017,
    show_default=True,
    metavar="N",
    help="Port to listen on; 0 takes a free one.",
)
@options.quiet_option
def command(
    folder: Path, site: Path | None, yes: bool, host: str | None, port: int, quiet: bool
) -> None:
    """Let a phone in the same network read a lesson, with a QR code; nothing can be written.

    Without your yes only this machine can read it. Ctrl-C ends it.
    """
    from porchswing.pages.sharing.site import site_files, write_site

    files = site_files(folder)
    if site is not None:
        size = write_site(files, site)
        if not quiet:
            click.echo(
                f"{site}: {len(files)} files, {size / 1e6:.1f} MB, for any web host\n"
                f"Once opened over https it works offline. {TRIED}"
            )
        return
    _serve(files, *_where(host, yes=yes), port, quiet=quiet)


def _where(host: str | None, *, yes: bool) -> tuple[str, bool]:
    """Return the address to listen on, and whether others can reach it."""
    from porchswing.pages.sharing.server import LOCAL, network_address

    address = host or network_address()
    if address is None or address == LOCAL:
        return LOCAL, False
    question = f"Let everyone in this network read the lesson at {address}?"
    is_allowed = yes or (sys.stdin.isatty() and click.confirm(question))
    return (address, True) if is_allowed else (LOCAL, False)


def _serve(
    files: Mapping[str, SiteFile], host: str, is_open: bool, port: int, *, quiet: bool
) -> None:
    from porchswing.pages.sharing.server import ShareServer
    from porchswing.pages.sharing.site import SiteFile, qr_page

    try:
        import segno
    except ImportError as error:
        raise missing_extra("the QR code", "lesson") from error
    try:
        server = ShareServer(files, host, port)
    except OSError as error:
        raise OutputError(f"cannot listen on {host}, port {port}: {error.strerror}") from error
    address = f"http://{host}:{server.port}/"
    with server:
        code = segno.make(address, micro=False)
        page = qr_page(address, code.svg_inline(scale=10))
        server.files[QR_PAGE] = SiteFile(page.encode("utf-8"))
        if not quiet:
            click.echo(_greeting(address, is_open=is_open))
            if is_open:
                code.terminal(compact=True)
        try:
            server.serve_forever(poll_interval=0.2)
        except KeyboardInterrupt:
            if not quiet:
                click.echo("\nEnded: nobody can read it any more.")


def _greeting(address: str, *, is_open: bool) -> str:
    if not is_open:
        return (
            f"Only this machine can read it: {address}\n"
            "Say yes, or --yes, to let a phone in the same network read it. Ctrl-C ends it."
        )
    return (
        f"Phones in this network read it at {address}\n"
        f"The code below is also at {address}{QR_PAGE}. Ctrl-C ends it.\n{TRIED}"
    )
