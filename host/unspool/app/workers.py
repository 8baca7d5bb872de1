"""Threads for the slow part of an answer. Guests have their own, so that the owner never waits."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from typing import TypeVar

from unspool.app.permissions import may_change

T = TypeVar("T")

_OWNERS = ThreadPoolExecutor(4, "owner")
_GUESTS = ThreadPoolExecutor(2, "guest")


async def in_worker(make: Callable[[], T]) -> T:
    """What `make` returns, made in a thread with the context of the present request."""
    pool = _OWNERS if may_change.get() else _GUESTS
    loop = asyncio.get_running_loop()
    return await loop.run_in_executor(pool, copy_context().run, make)
