"""A network between a browser and the app, on which packets can get stuck for a while."""

from __future__ import annotations

import socket
import threading
from contextlib import suppress
from types import TracebackType

MOST_BYTES = 65_536


class Network:
    """`address` is the app's, seen through it. As on a bad radio, what is stuck comes later."""

    def __init__(self, address: str) -> None:
        self._far = ("127.0.0.1", int(address.rstrip("/").rpartition(":")[2]))
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._flows = threading.Event()
        self._flows.set()
        self.address = f"http://127.0.0.1:{self._listener.getsockname()[1]}/"

    def __enter__(self) -> Network:
        threading.Thread(target=self._accept, daemon=True).start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.flow()
        self._listener.shutdown(socket.SHUT_RDWR)  # `close` alone does not wake who accepts
        self._listener.close()

    def stick(self) -> None:
        self._flows.clear()

    def flow(self) -> None:
        self._flows.set()

    def _accept(self) -> None:
        with suppress(OSError):  # closed
            while True:
                near = self._listener.accept()[0]
                threading.Thread(target=self._join, args=(near,), daemon=True).start()

    def _join(self, near: socket.socket) -> None:
        self._flows.wait()
        try:
            far = socket.create_connection(self._far)
        except OSError:
            near.close()  # the app is not there, and so the browser hears
            return
        for one, other in ((near, far), (far, near)):
            threading.Thread(target=self._carry, args=(one, other), daemon=True).start()

    def _carry(self, one: socket.socket, other: socket.socket) -> None:
        with suppress(OSError):
            while data := one.recv(MOST_BYTES):
                self._flows.wait()
                other.sendall(data)
        for end in (one, other):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()
