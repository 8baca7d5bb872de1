"""Threads for the slow part of an answer: who may do less never keeps waiting who may do more."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from typing import TypeVar

from unspool.app.permissions import may_change, rights

T = TypeVar("T")

_OWNERS = ThreadPoolExecutor(4, "owner")
_HELPERS = ThreadPoolExecutor(2, "helper")  # judges and stations
_GUESTS = ThreadPoolExecutor(2, "guest")
# A PIN's hash takes memory and time on purpose: one at a time.
_PINS = ThreadPoolExecutor(1, "pin")


async def in_worker(make: Callable[[], T]) -> T:
    """What `make` returns, made in a thread with the context of the present request."""
    pool = _OWNERS if may_change.get() else _HELPERS if rights.get() else _GUESTS
    return await _made(pool, make)


async def in_pin_worker(make: Callable[[], T]) -> T:
    """The same for what has to do with PINs."""
    return await _made(_PINS, make)


async def _made(pool: ThreadPoolExecutor, make: Callable[[], T]) -> T:
    loop = asyncio.get_running_loop()
    return await loop.run_in_executor(pool, copy_context().run, make)
