"""Who asks for the present answer, and whether they may change things or only look on.

The guard sets all this around each request. A page is made in that request's context.
"""

from __future__ import annotations

from contextvars import ContextVar

from unspool.app.rights import PARTS, Part, Right
from unspool.corrections import this_user

# What the PIN that was given allows, beside looking on.
rights: ContextVar[frozenset[Right]] = ContextVar("rights", default=frozenset())
may_change: ContextVar[bool] = ContextVar("may_change", default=True)
HERE = ("127.0.0.1", "::1")
# Whose PIN was given, and the name if it is one of their own.
whose_pin: ContextVar[str] = ContextVar("whose_pin", default="")
pin_name: ContextVar[str] = ContextVar("pin_name", default="")
# The network address of the client.
client: ContextVar[str] = ContextVar("client", default="127.0.0.1")


def asks_from_here() -> bool:
    """Whether the present request comes from the computer that runs unspool."""
    return client.get() in HERE


def holds(right: Right) -> bool:
    """Whether who asks has the right."""
    if right is Right.HERE:
        return asks_from_here()
    return right is Right.LOOK or may_change.get() or right in rights.get()


def may(part: Part) -> bool:
    """Whether who asks has the right that the part takes."""
    return holds(PARTS[part])


def asker() -> str:
    """Who asks, for the history of what they change."""
    if asks_from_here():
        return this_user()
    return f"with the PIN of {whose_pin.get()}, from {client.get()}"
