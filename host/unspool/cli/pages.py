"""The app's pages, served by a command: on which port, for whom, and in which browser."""

from __future__ import annotations

import os
import sys
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.errors import InputError

if TYPE_CHECKING:
    from dash import Dash

    from unspool.app import PageServer, Sharing
    from unspool.app.certificate import Certificate

Port = Annotated[
    int | None, typer.Option(min=0, max=65535, help="Port of the pages; 0 takes any free one.")
]
Page = Annotated[bool, typer.Option("--page/--no-page", help="Serve the pages.")]
Browser = Annotated[
    bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
]
Share = Annotated[
    bool,
    typer.Option(
        "--share", help="Let others on this network look on. With a PIN they can change things."
    ),
]
CertificateFile = Annotated[
    Path | None,
    typer.Option("--certificate", help="Serve others by https with this certificate (PEM)."),
]
KeyFile = Annotated[Path | None, typer.Option("--key", help="The certificate's key (PEM).")]


@dataclass(frozen=True)
class PageOptions:
    """port None: the usual one, or any free one if another program has it.

    share: other computers on the network may look on. certificate: they come by TLS.
    """

    port: int | None = None
    browser: bool = False
    share: bool = False
    certificate: Certificate | None = None


def certificate_of(file: Path | None, key: Path | None) -> Certificate | None:
    """Raises InputError for one without the other, and for a pair that browsers could not use."""
    if file is None and key is None:
        return None
    if file is None or key is None:
        raise InputError("--certificate and --key belong together; give both files")
    from unspool.app.certificate import load_certificate

    return load_certificate(file, key)


def sharing_of(page: PageOptions) -> Sharing:
    from unspool.app import Access, Sharing

    return Sharing(Access(shared=page.share), page.certificate)


def page_server(dash: Dash, page: PageOptions, sharing: Sharing) -> PageServer:
    """Raises InputError if a port that the user gave is not free."""
    from unspool.app.serving import EVERYWHERE, HOST

    server = _listening(dash, EVERYWHERE if page.share else HOST, page)
    sharing.serve(dash, server.port, everywhere=page.share)
    return server


def _listening(dash: Dash, host: str, page: PageOptions) -> PageServer:
    from unspool.app import PageServer
    from unspool.app.serving import PORT

    if page.port is not None:
        return PageServer(dash, host, page.port, certificate=page.certificate)
    try:
        return PageServer(dash, host, PORT, certificate=page.certificate)
    except InputError:
        return PageServer(dash, host, 0, certificate=page.certificate)


def announce(server: PageServer, page: PageOptions, sharing: Sharing) -> None:
    """Prints how guests reach the pages, and opens the browser if that is wanted."""
    if page.share:
        _print_shared(sharing)
    if page.browser:
        open_browser(server.address)


def open_browser(address: str) -> None:
    """Opens the address in a browser with windows, if there is one."""
    if _has_windows():
        # A browser that starts may take its time.
        Thread(target=webbrowser.open, args=(address,), daemon=True).start()


def _has_windows() -> bool:
    """Without a display, Python would start a browser inside the terminal, and wait for it."""
    if sys.platform in ("win32", "darwin"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"))


def _print_shared(sharing: Sharing) -> None:
    where = " or ".join(sharing.addresses()) or "this computer's address with the same port"
    print(f"shared: others type {where}", flush=True)
    if sharing.certificate:
        print(f"encrypted; the certificate ends {sharing.certificate.ends}", flush=True)
    pin = sharing.access.pin
    print(f"guests can look on; to change anything they need the PIN {pin}", flush=True)
