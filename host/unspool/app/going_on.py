"""GoingOn: which boards this app records, kept in the store until their recordings end.

If the app is killed they stay there, and the next app on this computer goes on with them.
"""

from __future__ import annotations

import os
import socket
import sys
import time
from contextlib import suppress
from dataclasses import replace
from threading import RLock

from unspool.errors import StoreError
from unspool.store import BoardCar, Store, UnderWay

# A recording that began longer ago is no reason to open a port unasked.
LONGEST_S = 24.0 * 3600.0


class GoingOn:
    """What cannot be kept now stops no recording: after a crash somebody presses Start again.

    Safe from several threads: a recording that fails at once ends before anybody says it began.
    """

    def __init__(self, store: Store) -> None:
        self._store, self._host = store, socket.gethostname()
        self._lock = RLock()
        self._kept: dict[str, UnderWay] = {}  # by the key of the recording
        self._over: set[str] = set()  # the keys of those that ended so soon

    def begun(self, key: str, board: str, has: BoardCar | None) -> None:
        """key: of the recording. board: its way, as a page chooses it.

        has: None leaves the car to the board's memory.
        """
        car, track = (has.car, has.track) if has else ("", "")
        one = UnderWay(board, car, track, self._host, os.getpid(), time.time_ns() // 1000)
        with self._lock:
            if key in self._over:
                self._over.remove(key)
            else:
                self._keep(key, one)

    def changed(self, key: str, has: BoardCar) -> None:
        """Another car. A recording that a command began is that command's to begin again."""
        with self._lock:
            if one := self._kept.get(key):
                self._keep(key, replace(one, car=has.car, track=has.track))

    def moved(self, key: str, board: str) -> None:
        """Its board came back on another port."""
        with self._lock:
            if (one := self._kept.get(key)) and one.board != board:
                self.ended(key)
                self._keep(key, replace(one, board=board))

    def ended(self, key: str) -> None:
        """Each recording of `begun` ends once."""
        with self._lock:
            if one := self._kept.pop(key, None):
                self._forget(one)
            else:
                self._over.add(key)

    def _keep(self, key: str, one: UnderWay) -> None:
        self._kept[key] = one
        with suppress(StoreError):
            self._store.under_way.begin(one)

    def _forget(self, one: UnderWay) -> None:
        with suppress(StoreError):
            self._store.under_way.end(one.host, one.board)

    def left(self) -> list[UnderWay]:
        """Those of a process of this computer that is gone; they are forgotten at once."""
        with suppress(StoreError):
            mine = [one for one in self._store.under_way.listed() if one.host == self._host]
            gone = [one for one in mine if not _lives(one.process)]
            for one in gone:
                self._forget(one)
            since = (time.time() - LONGEST_S) * 1e6
            return [one for one in gone if one.since_us > since]
        return []


def _lives(process: int) -> bool:
    """Whether there may be such a process beside this one. Windows cannot be asked like this."""
    if process == os.getpid():
        return False
    if sys.platform == "win32":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        pass  # it is somebody else's
    return True
