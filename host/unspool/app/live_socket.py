"""The socket of all pages: a page asks with a cursor, and gets an answer as soon as there is news.

There is one answer to each question. A page that draws slowly asks less often and gets more at a
time, so nothing queues up between the car and the eye.
"""

from __future__ import annotations

import asyncio
from functools import partial
from typing import Any

from fastapi import WebSocket, WebSocketDisconnect
from pydantic import BaseModel

from unspool.app.cursor import Cursor
from unspool.app.live_boards import LiveBoards
from unspool.app.live_state import LiveState
from unspool.app.workers import in_worker
from unspool.render.words.reading_units import reading_of

# An answer at least this often shows the page that the server lives, and shows us a page that left.
HEARTBEAT_S = 1.0


class _Question(BaseModel):
    """A cursor as a page sends it. Anything else is refused."""

    session: str = ""
    version: int = -1
    figure_version: int = -1
    run: str = ""
    have: int = 0
    brief: bool = False
    board: str = ""

    def cursor(self) -> Cursor:
        have = max(self.have, 0)
        drawn = (self.figure_version, self.run, have)
        return Cursor(self.session, self.version, *drawn, self.brief, self.board)


async def live_socket(lives: LiveBoards, socket: WebSocket) -> None:
    """Serves one page until it leaves."""
    await socket.accept()
    question = asyncio.create_task(_question(socket))
    try:
        while True:
            cursor = await question
            # Listening while there is no news shows at once if the page leaves.
            question = asyncio.create_task(_question(socket))
            news = await _news(lives, cursor, question)
            if news is not None:
                await socket.send_json(news)
    except WebSocketDisconnect:
        return
    except (ValueError, KeyError, TypeError, RecursionError):  # bytes, or JSON of another shape
        await socket.close(code=1008, reason="not a cursor")
    finally:
        question.cancel()


async def _question(socket: WebSocket) -> Cursor:
    return _Question.model_validate(await socket.receive_json()).cursor()


def _watched(lives: LiveBoards, cursor: Cursor) -> LiveState | LiveBoards:
    """What the page shows: one board, or all of them if that one is there no more."""
    return (lives.find(cursor.board) if cursor.board else None) or lives


def _read(watched: LiveState | LiveBoards, cursor: Cursor) -> dict[str, Any] | None:
    """The news in the units that the page is read in; figures and sentences are so already."""
    news = watched.news(cursor)
    far, fast = reading_of("m").factor, reading_of("m/s").factor
    if news is None or far == 1.0:
        return news
    for name, factor in (("x", far), ("v", fast)):
        if name in news:
            news[name] = [factor * one for one in news[name]]
    return news


async def _news(
    lives: LiveBoards, cursor: Cursor, question: asyncio.Task[Cursor]
) -> dict[str, Any] | None:
    """The next news, or an empty answer as a heartbeat. None if the page asked again or left."""
    loop, changed = asyncio.get_running_loop(), asyncio.Event()
    watched = _watched(lives, cursor)
    # Of other boards this page hears nothing.
    unsubscribe = watched.subscribe(lambda: loop.call_soon_threadsafe(changed.set))
    try:
        while not question.done():
            changed.clear()
            # A figure may take tens of milliseconds to draw; the other pages need not wait for it.
            if watched.has_news(cursor) and (
                news := await in_worker(partial(_read, watched, cursor))
            ):
                return news
            change = asyncio.create_task(changed.wait())
            done, _ = await asyncio.wait(
                {change, question}, timeout=HEARTBEAT_S, return_when=asyncio.FIRST_COMPLETED
            )
            change.cancel()
            if not done:
                return {}
    finally:
        unsubscribe()
    return None
