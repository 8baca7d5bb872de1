"""The pages in the browser."""

from unspool.app.house import build
from unspool.app.hub import LiveHub
from unspool.app.serving import PageServer, serve

__all__ = ["LiveHub", "PageServer", "build", "serve"]
