"""The pages in the browser: a store and perhaps a car that is being recorded go in, a server comes
out.
"""

from unspool.app.access import Access
from unspool.app.factory import create_app
from unspool.app.live_state import LiveState
from unspool.app.serving import PageServer

__all__ = ["Access", "LiveState", "PageServer", "create_app"]
