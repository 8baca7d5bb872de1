"""The socket of a contest's pages: it says the contest's revision whenever that is another one."""

from __future__ import annotations

import asyncio

from fastapi import WebSocket, WebSocketDisconnect

from unspool.app.contest_hub import ContestHub
from unspool.app.workers import in_worker
from unspool.errors import UnspoolError

LONGEST_REASON = 123  # bytes (RFC 6455, section 5.5)
# A word at least this often shows the page that the server lives, and shows us a page that left.
HEARTBEAT_S = 1.0


async def contest_socket(hub: ContestHub, contest: str, socket: WebSocket) -> None:
    """Serves one page until it leaves, or until the contest cannot be read."""
    await socket.accept()
    loop, changed = asyncio.get_running_loop(), asyncio.Event()
    unsubscribe = hub.subscribe(lambda: loop.call_soon_threadsafe(changed.set))
    left = asyncio.create_task(_left(socket))
    try:
        while not left.done():
            changed.clear()
            revision = await in_worker(lambda: hub.revision(contest))
            await socket.send_json({"revision": revision})
            change = asyncio.create_task(changed.wait())
            await asyncio.wait(
                {change, left}, timeout=HEARTBEAT_S, return_when=asyncio.FIRST_COMPLETED
            )
            change.cancel()
    except UnspoolError as error:
        reason = str(error).encode()[:LONGEST_REASON].decode(errors="ignore")
        await socket.close(code=1008, reason=reason)
    except (WebSocketDisconnect, RuntimeError):  # it left while we wrote
        return
    finally:
        left.cancel()
        unsubscribe()


async def _left(socket: WebSocket) -> None:
    """Ends once the page has gone. It has nothing to say."""
    try:
        while True:
            await socket.receive()
    except (WebSocketDisconnect, RuntimeError):
        return
