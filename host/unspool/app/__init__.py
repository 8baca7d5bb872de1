"""The pages in the browser."""

from unspool.app.access import Door
from unspool.app.factory import build
from unspool.app.live_state import LiveHub
from unspool.app.serving import PageServer, serve

__all__ = ["Door", "LiveHub", "PageServer", "build", "serve"]
