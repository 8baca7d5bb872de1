"""A network between two programs, which can be slow for a while, or cut."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Self

from unspool.closing import Closing

MOST_BYTES = 65_536
COMMIT = b"COMMIT\0"
POSTGRESQL = ".s.PGSQL.5432"  # its socket in the folder that it listens in


class Network(Closing):
    """What goes into the listener comes out at `connect`. As on a bad radio, what is stuck comes
    later; what is cut does not come at all.
    """

    def __init__(self, listener: socket.socket, connect: Callable[[], socket.socket]) -> None:
        self._listener, self._connect = listener, connect
        self._flows, self._lock = threading.Event(), threading.Lock()
        self._flows.set()
        self._open: set[socket.socket] | None = set()  # None while it is cut
        self._losing, self._losses = b"", 0

    def __enter__(self) -> Self:
        threading.Thread(target=self._accept, daemon=True).start()
        return self

    def close(self) -> None:
        self.flow()
        self._listener.shutdown(socket.SHUT_RDWR)  # `close` alone does not wake who accepts
        self._listener.close()

    def stick(self) -> None:
        self._flows.clear()

    def flow(self) -> None:
        self._flows.set()

    def cut(self) -> None:
        """All that is under way ends at once, and nobody gets through until `mend`."""
        with self._lock:
            ends, self._open = self._open or set(), None
        for end in ends:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def mend(self) -> None:
        with self._lock:
            self._open = set()

    def _accept(self) -> None:
        with suppress(OSError):  # closed
            while True:
                near = self._listener.accept()[0]
                threading.Thread(target=self._join, args=(near,), daemon=True).start()

    def _join(self, near: socket.socket) -> None:
        self._flows.wait()
        try:
            far = self._connect()
        except OSError:
            near.close()  # nobody is there, and so the other hears
            return
        with self._lock:
            is_cut = self._open is None
            if self._open is not None:
                self._open |= {near, far}
        if is_cut:
            near.close()
            far.close()
            return
        for one, other in ((near, far), (far, near)):
            threading.Thread(target=self._carry, args=(one, other), daemon=True).start()

    def lose_answers(self, to: bytes, count: int = 1) -> None:
        """The next messages with these bytes arrive, and their answers do not come back."""
        self._losing, self._losses = to, count

    def _passing(self, data: bytes, sender: socket.socket) -> None:
        if self._losses and self._losing in data:
            self._losses -= 1
            sender.shutdown(socket.SHUT_RDWR)

    def _carry(self, one: socket.socket, other: socket.socket) -> None:
        with suppress(OSError):
            while data := one.recv(MOST_BYTES):
                self._flows.wait()
                self._passing(data, one)
                other.sendall(data)
        for end in (one, other):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()
            with self._lock:
                (self._open or set()).discard(end)


class AppNetwork(Network):
    """Between a browser and the app; `address` is the app's, seen through it.

    client: the address that the app then sees; another than 127.0.0.1 is a guest's.
    """

    def __init__(self, address: str, client: str = "127.0.0.1") -> None:
        far, near = ("127.0.0.1", int(address.rstrip("/").rpartition(":")[2])), (client, 0)
        listener = socket.create_server(("127.0.0.1", 0))
        super().__init__(listener, lambda: socket.create_connection(far, source_address=near))
        self.address = f"http://127.0.0.1:{listener.getsockname()[1]}/"


class DatabaseNetwork(Network):
    """Between a station and the PostgreSQL whose socket is in `there`; its own is in `here`."""

    def __init__(self, here: Path, there: Path) -> None:
        self.here = here
        listener = socket.socket(socket.AF_UNIX)
        listener.bind(str(here / POSTGRESQL))
        listener.listen()

        def connect() -> socket.socket:
            far = socket.socket(socket.AF_UNIX)
            far.connect(str(there / POSTGRESQL))
            return far

        super().__init__(listener, connect)

    def lose_commits(self, count: int = 1) -> None:
        """Each of the next commits reaches the server, and its answer does not come back."""
        self.lose_answers(COMMIT, count)
