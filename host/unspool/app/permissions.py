"""Whether the person who asks for the present answer may change things, or only look on.

The guard sets it around each request. A page is made in that request's context.
"""

from __future__ import annotations

from contextvars import ContextVar

may_change: ContextVar[bool] = ContextVar("may_change", default=True)
