"""The live page's socket: it asks with a cursor, and is answered as soon as there is news.

One question, one answer: a page that draws slowly asks less often and gets more at a time, so
nothing queues up between the car and the eye.
"""

from __future__ import annotations

import asyncio
from typing import Any

from fastapi import WebSocket, WebSocketDisconnect
from pydantic import BaseModel

from unspool.app.live_state import Cursor, LiveHub

# An answer at least this often tells the page that the server lives, and finds out a gone page.
HEARTBEAT_S = 2.0


class _Question(BaseModel):
    """A cursor as a page sends it; what a stranger sends instead is refused."""

    session: str = ""
    version: int = -1
    scene: int = -1
    run: str = ""
    have: int = 0

    def cursor(self) -> Cursor:
        return Cursor(self.session, self.version, self.scene, self.run, max(self.have, 0))


async def live_socket(hub: LiveHub, socket: WebSocket) -> None:
    """Serves one page until it goes."""
    await socket.accept()
    loop, stirred = asyncio.get_running_loop(), asyncio.Event()
    hush = hub.listen(lambda: loop.call_soon_threadsafe(stirred.set))
    asked = asyncio.create_task(_question(socket))
    try:
        while True:
            cursor = await asked
            # Listening on while there is no news shows at once when the page has gone.
            asked = asyncio.create_task(_question(socket))
            news = await _news(hub, cursor, stirred, asked)
            if news is not None:
                await socket.send_json(news)
    except WebSocketDisconnect:
        return
    except ValueError:
        await socket.close(code=1008, reason="not a cursor")
    finally:
        hush()
        asked.cancel()


async def _question(socket: WebSocket) -> Cursor:
    return _Question.model_validate(await socket.receive_json()).cursor()


async def _news(
    hub: LiveHub, cursor: Cursor, stirred: asyncio.Event, asked: asyncio.Task[Cursor]
) -> dict[str, Any] | None:
    """The next news, or an empty answer as a heartbeat; None when the page asked anew or went."""
    while not asked.done():
        stirred.clear()
        # Drawing a scene may take tens of milliseconds, which the other pages need not wait for.
        if hub.has_news(cursor) and (news := await asyncio.to_thread(hub.news, cursor)):
            return news
        stir = asyncio.create_task(stirred.wait())
        done, _ = await asyncio.wait(
            {stir, asked}, timeout=HEARTBEAT_S, return_when=asyncio.FIRST_COMPLETED
        )
        stir.cancel()
        if not done:
            return {}
    return None
