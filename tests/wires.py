"""The wires between a board's UART and what carries its bytes on: a radio module, a USB chip."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from serial import Serial

from unspool.virtual.demo.board import BoardLine

LOOK_S = 0.005


@contextmanager
def wired(port: str, line: BoardLine) -> Iterator[None]:
    """Carries both ways while the `with` block lasts. port: of a simulated chip."""
    ending = threading.Event()

    def carry() -> None:
        with Serial(port, 115_200, timeout=LOOK_S) as uart:
            while not ending.is_set():
                line.send(uart.read(4096))
                uart.write(line.heard())

    thread = threading.Thread(target=carry)
    thread.start()
    try:
        yield
    finally:
        ending.set()
        thread.join()
