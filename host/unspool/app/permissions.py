"""Who asks for the present answer, and whether they may change things or only look on.

The guard sets both around each request. A page is made in that request's context.
"""

from __future__ import annotations

from contextvars import ContextVar

may_change: ContextVar[bool] = ContextVar("may_change", default=True)
# The network address of the client.
client: ContextVar[str] = ContextVar("client", default="127.0.0.1")
