"""Who may do less keeps nobody waiting who may do more."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from contextvars import copy_context
from threading import Event
from typing import Any

import pytest

from unspool.app.permissions import may_change, rights
from unspool.app.rights import Right
from unspool.app.workers import in_pin_worker, in_worker

MANY = 20  # more than there are threads
OWNER = frozenset({Right.JUDGE, Right.STATION, Right.OWN})


async def _as(
    held: frozenset[Right],
    do: Callable[[], object],
    worker: Callable[[Callable[[], object]], Coroutine[Any, Any, object]] = in_worker,
) -> object:
    def task() -> asyncio.Task[object]:
        rights.set(held)
        may_change.set(Right.OWN in held)
        return asyncio.get_running_loop().create_task(worker(do))

    return await asyncio.wait_for(copy_context().run(task), 10)


@pytest.mark.parametrize("role", [Right.JUDGE, Right.STATION])
def test_guests_who_keep_all_their_threads_busy_hold_up_no_judge(role: Right) -> None:
    go_on = Event()

    async def visit() -> None:
        guests = [asyncio.create_task(_as(frozenset(), go_on.wait)) for _ in range(MANY)]
        await asyncio.sleep(0)
        try:
            assert await _as(frozenset({role}), lambda: "called") == "called"
            helpers = [asyncio.create_task(_as(frozenset({role}), go_on.wait)) for _ in range(MANY)]
            await asyncio.sleep(0)
            assert await _as(OWNER, lambda: "changed") == "changed"
            assert await _as(frozenset(), lambda: "a PIN", in_pin_worker) == "a PIN"
        finally:
            go_on.set()
        assert await asyncio.gather(*guests, *helpers) == [True] * 2 * MANY

    asyncio.run(visit())
