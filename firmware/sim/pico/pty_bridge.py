"""A pseudo-terminal for the virtual Pico: its bytes on standard input and output.

    python3 pty_bridge.py [RATE] 3>SAYS

It says on descriptor 3 "pty PATH", and "open" and "closed" as a program opens the port and closes
it. With a rate, a program whose port has another one hears garbage, as on a cable. What nobody
reads is gone. It ends when its input does.
"""

from __future__ import annotations

import os
import select
import sys
import termios
import time
import tty

RATES = {termios.B57600: 57_600, termios.B115200: 115_200}
SPEED = 5  # where a terminal's settings hold the speed of its output
NOBODY_S = 0.005
MOST = 4096


def open_terminal() -> int:
    """The board's end. A port that nobody has open yet is raw already."""
    board, host = os.openpty()
    tty.setraw(host)
    os.set_blocking(board, False)
    say(f"pty {os.ttyname(host)}")
    os.close(host)
    return board


def say(line: str) -> None:
    os.write(3, f"{line}\n".encode())


class Bridge:
    def __init__(self, board: int, rate: int | None) -> None:
        self._board, self._rate = board, rate
        self._open = False

    def run(self) -> None:
        while True:
            waits = dict(self._poll())
            self._note(not waits.get(self._board, 0) & select.POLLHUP)
            if waits.get(0):
                data = os.read(0, MOST)
                if not data:
                    return
                self._to_host(data)
            if self._open and waits.get(self._board, 0) & select.POLLIN:
                os.write(1, self._as_heard(os.read(self._board, MOST)))
            if not self._open:
                time.sleep(NOBODY_S)

    def _poll(self) -> list[tuple[int, int]]:
        poll = select.poll()
        poll.register(0, select.POLLIN)
        poll.register(self._board, select.POLLIN)
        return poll.poll(100)

    def _note(self, is_open: bool) -> None:
        if is_open != self._open:
            say("open" if is_open else "closed")
        self._open = is_open

    def _to_host(self, data: bytes) -> None:
        if not self._open:
            return
        try:
            os.write(self._board, self._as_heard(data))
        except OSError:  # it reads nothing, and its buffer is full
            return

    def _as_heard(self, data: bytes) -> bytes:
        if self._rate is None:
            return data
        speed = termios.tcgetattr(self._board)[SPEED]
        return data if RATES.get(speed) == self._rate else bytes(byte ^ 0xFF for byte in data)


def main() -> None:
    rate = int(sys.argv[1]) if len(sys.argv) > 1 else None
    Bridge(open_terminal(), rate).run()


if __name__ == "__main__":
    main()
