"""PageServer: the app on a port of this computer."""

from __future__ import annotations

import errno
import socket
import time
from threading import Thread

import uvicorn
from dash import Dash

from unspool.app.certificate import Certificate
from unspool.app.connections import Connections, bounded
from unspool.app.door import door
from unspool.app.repeated_faults import quieten
from unspool.closing import Closing
from unspool.errors import InputError
from unspool.language import _

HOST = "127.0.0.1"  # this computer alone
EVERYWHERE = "0.0.0.0"  # every network that this computer is on
PORT = 8437
# Longer than any answer but a live page's heartbeat, which may be cut.
GOODBYE_S = 1
READY_LOOK_S = 0.01
MOST_SOCKET_BYTES = 4096
# asyncio accepts as many at once before the first of them can be refused, each with a descriptor.
BACKLOG = 32


class PageServer(Closing):
    """The port is taken when the object is made, so `address` is right from then on.

    port 0 takes any free one. warm False: the app is served on another port already. certificate:
    others come by TLS; this computer's own browser needs none. Raises InputError if the port is not
    free.
    """

    def __init__(
        self,
        dash: Dash,
        host: str = HOST,
        port: int = PORT,
        *,
        warm: bool = True,
        certificate: Certificate | None = None,
    ) -> None:
        self._socket = _listen(host, port)
        self.port: int = self._socket.getsockname()[1]
        here = HOST if host == EVERYWHERE else host
        self.address = f"http://{f'[{here}]' if ':' in here else here}:{self.port}/"
        bounds = Connections()
        config = uvicorn.Config(
            dash.server,
            # A malformed request is no fault of ours, and nothing that the owner can mend.
            log_level="error",
            lifespan="on" if warm else "off",
            backlog=BACKLOG,
            access_log=False,
            timeout_graceful_shutdown=GOODBYE_S,
            http=door(certificate.context, bounds) if certificate else bounded(bounds),
            # A header that anybody can write says nothing of who asks.
            proxy_headers=False,
            # A question of the live page has some 200 bytes.
            ws_max_size=MOST_SOCKET_BYTES,
        )
        self._server = uvicorn.Server(config)
        quieten()
        self._thread: Thread | None = None

    def run(self) -> None:
        """Serves until Ctrl-C, then returns."""
        try:
            self._server.run(sockets=[self._socket])
        except KeyboardInterrupt:
            pass  # uvicorn has closed everything and then passes the signal on
        finally:
            self._socket.close()

    def wait_until_ready(self) -> None:
        """Returns once the pages answer, after `with` has started them."""
        while not self._server.started and self._thread and self._thread.is_alive():
            time.sleep(READY_LOOK_S)

    def __enter__(self) -> PageServer:
        """Serves in a thread of its own, beside the caller's work."""
        self._thread = Thread(target=self.run, name="pages", daemon=True)
        self._thread.start()
        return self

    def close(self) -> None:
        self._server.should_exit = True
        if self._thread:
            self._thread.join()


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(BACKLOG)
    except (OSError, OverflowError) as error:
        listener.close()
        raise InputError(_why(host, port, error)) from error
    return listener


def _why(host: str, port: int, error: Exception) -> str:
    code = error.errno if isinstance(error, OSError) else None
    if code == errno.EADDRINUSE:
        return _(
            "port {port} is taken by another program, perhaps another unspool: close that one, or"
            " give another port (0 takes any free one)",
            port=port,
        )
    if code == errno.EACCES:
        return _("port {port} is reserved for the system; give one above 1023", port=port)
    if code == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return _(
            "this computer has no address {host}; 127.0.0.1 serves this computer alone", host=host
        )
    return _(
        "the pages cannot be served on {host}, port {port}: {reason}",
        host=host,
        port=port,
        reason=error,
    )
