"""`unspool app`: the app on the user's own store; cars and boards are chosen in its pages."""

from __future__ import annotations

from threading import Event
from typing import Annotated

import typer

from unspool.cli.handing_over import HandOverTo, handing_over
from unspool.cli.pages import (
    CertificateFile,
    KeyFile,
    PageOptions,
    Port,
    Share,
    announce,
    certificate_of,
    page_server,
    sharing_of,
)
from unspool.cli.sources import StoreName, open_store
from unspool.cli.stopping import StopSignal, stop_signals

LOOK_S = 0.5  # Windows notices Ctrl-C only from one wait to the next


def open_app(
    store: StoreName = None,
    hand_over: HandOverTo = None,
    port: Port = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the address.")
    ] = False,
    share: Share = False,
    certificate: CertificateFile = None,
    key: KeyFile = None,
) -> None:
    """Open the app: record, look and plan in the browser. Ctrl-C ends it."""
    from unspool.app import Trackside, create_app

    page = PageOptions(port, not no_browser, share, certificate_of(certificate, key))
    sharing = sharing_of(page)
    with (
        open_store(store) as opened,
        handing_over(opened, hand_over),
        stop_signals() as stop,
    ):
        trackside = Trackside.of(opened)
        app = create_app(opened, sharing=sharing, trackside=trackside)
        try:
            with page_server(app, page, sharing) as server:
                server.wait_until_ready()
                print(f"unspool: {server.address} (Ctrl-C ends)", flush=True)
                for name in trackside.resume():
                    print(f"goes on recording on {name}: it was cut off", flush=True)
                announce(server, page, sharing)
                _wait(stop)
        except KeyboardInterrupt:
            print("\nstopped", flush=True)
        finally:
            sharing.close()
            trackside.close()


def _wait(stop: StopSignal) -> None:
    """Until a signal raises KeyboardInterrupt."""
    never = Event()
    while not never.wait(LOOK_S):
        stop.check()
