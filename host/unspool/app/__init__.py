"""The pages in the browser. A store comes in, and perhaps a car that is being recorded.

A server of pages goes out.
"""

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
