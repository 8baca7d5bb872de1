"""The pages in the browser. A store comes in, and perhaps a car that is being recorded.

A server of pages goes out. Each name is loaded when it is first used: who records without pages
does without their libraries.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from unspool.app.access import Access
    from unspool.app.board_memory import RecordedCar
    from unspool.app.factory import create_app
    from unspool.app.live_boards import LiveBoards
    from unspool.app.live_state import LiveState
    from unspool.app.recordings import BoardRun, Recordings
    from unspool.app.serving import PageServer
    from unspool.app.sharing import Sharing
    from unspool.app.trackside import Trackside

__all__ = [
    "Access",
    "BoardRun",
    "LiveBoards",
    "LiveState",
    "PageServer",
    "RecordedCar",
    "Recordings",
    "Sharing",
    "Trackside",
    "create_app",
]
_MODULES = {
    "Access": "access",
    "BoardRun": "recordings",
    "LiveBoards": "live_boards",
    "LiveState": "live_state",
    "PageServer": "serving",
    "RecordedCar": "board_memory",
    "Recordings": "recordings",
    "Sharing": "sharing",
    "Trackside": "trackside",
    "create_app": "factory",
}


def __getattr__(name: str) -> object:
    if name in _MODULES:
        return getattr(import_module(f"unspool.app.{_MODULES[name]}"), name)
    raise AttributeError(f"module 'unspool.app' has no attribute {name!r}")
