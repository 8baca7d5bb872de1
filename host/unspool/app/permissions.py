"""Whether whoever asked for the answer being made may change things here, or only look on.

The guard says so around each request; a page is made in that request's context.
"""

from __future__ import annotations

from contextvars import ContextVar

may_change: ContextVar[bool] = ContextVar("may_change", default=True)
