"""AllBoards: every board that is plugged in, as they come."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from unspool.instrument.link import Link, SerialPort, cable_link, list_ports


class AllBoards:
    """A port that was given up is offered again once it was unplugged."""

    def __init__(self, ports: Callable[[], Iterable[SerialPort]] = list_ports) -> None:
        self._ports = ports
        self._seen: set[str] = set()
        self._offered: set[str] = set()

    def fresh(self) -> list[Link]:
        """Those that two looks have seen, and that were not offered yet.

        A recorder whose cable was out finds its own port again in between.
        """
        here = {port.device for port in self._ports() if port.likely}
        lasting, self._seen = here & self._seen, here
        new = sorted(lasting - self._offered)
        self._offered = (self._offered & here) | set(new)
        return [cable_link(port) for port in new]
