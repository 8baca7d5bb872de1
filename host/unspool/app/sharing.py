"""Sharing: whether others on the network may look on, and at which addresses they find the app."""

from __future__ import annotations

from contextlib import ExitStack
from threading import Lock
from typing import TYPE_CHECKING

from unspool.app.access import Access, own_addresses
from unspool.app.permissions import HERE
from unspool.errors import InputError
from unspool.language import _

if TYPE_CHECKING:
    from dash import Dash

    from unspool.app.certificate import Certificate
    from unspool.app.serving import PageServer

# Names by which only this computer finds itself.
NOT_FOR_OTHERS = ("localhost", *HERE)


class Sharing:
    """Begun and ended from a page. Safe to use from several threads.

    Without `serve` there is no port yet, so nothing can be shared. certificate: others come by TLS.
    """

    def __init__(self, access: Access, certificate: Certificate | None = None) -> None:
        self.access, self.certificate = access, certificate
        access.names = certificate.names if certificate else ()
        self._lock = Lock()
        self._doors = ExitStack()
        self._dash: Dash | None = None
        self._port = 0
        self._ports: dict[str, int] = {}  # by address of this computer
        self.can_end = True

    def serve(self, dash: Dash, port: int, *, everywhere: bool) -> None:
        """The app on its port. everywhere: it listens on all networks already."""
        self._dash, self._port, self.can_end = dash, port, not everywhere
        if everywhere:
            self._ports = dict.fromkeys(own_addresses(), port)

    @property
    def is_on(self) -> bool:
        return self.access.shared

    def addresses(self) -> list[str]:
        """What others type; empty without a network.

        The certificate's name if it is not made for the address, because browsers compare them.
        """
        if self.certificate is None:
            return [f"http://{address}:{port}/" for address, port in self._ports.items()]
        return [f"https://{self._name(at)}:{port}/" for at, port in self._ports.items()]

    def _name(self, address: str) -> str:
        names = self.certificate.names if self.certificate else ()
        hosts = [name for name in names if "*" not in name and name not in NOT_FOR_OTHERS]
        return address if address in names or not hosts else hosts[0]

    def begin(self) -> None:
        """Raises InputError without a network."""
        with self._lock:
            if not self._ports:
                self._listen()
            self.access.shared = True

    def end(self) -> None:
        """Nobody else reaches the app from now on. Raises InputError if it listens everywhere."""
        if not self.can_end:
            raise InputError(_("unspool was started with --share: end it, and start it without"))
        with self._lock:
            self._doors.close()
            self._ports.clear()
            self.access.shared = False

    def close(self) -> None:
        self._doors.close()

    def _listen(self) -> None:
        found = own_addresses()
        if self._dash is None or not found:
            raise InputError(_("this computer is in no network that others could reach it by"))
        for address in found:
            try:
                server = self._server(self._dash, address, self._port)
            except InputError:
                server = self._server(self._dash, address, 0)
            self._doors.enter_context(server)
            self._ports[address] = server.port

    def _server(self, dash: Dash, address: str, port: int) -> PageServer:
        from unspool.app.serving import PageServer

        return PageServer(dash, address, port, warm=False, certificate=self.certificate)
