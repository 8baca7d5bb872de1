"""The pages in the browser."""

from unspool.app.door import Door
from unspool.app.house import build
from unspool.app.hub import LiveHub
from unspool.app.serving import PageServer, serve

__all__ = ["Door", "LiveHub", "PageServer", "build", "serve"]
