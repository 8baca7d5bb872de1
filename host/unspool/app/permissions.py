"""Who asks for the present answer, and whether they may change things or only look on.

The guard sets both around each request. A page is made in that request's context.
"""

from __future__ import annotations

from contextvars import ContextVar

from unspool.corrections import this_user

may_change: ContextVar[bool] = ContextVar("may_change", default=True)
# The network address of the client.
client: ContextVar[str] = ContextVar("client", default="127.0.0.1")


def asker() -> str:
    """Who asks, for the history of what they change."""
    here = client.get() in ("127.0.0.1", "::1")
    return this_user() if here else f"with the PIN, from {client.get()}"
