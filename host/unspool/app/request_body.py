"""Bodies of requests: as large as our own pages send, whole in time, and well formed.

The guard reads each body before anything else sees it. So a slow or endless body keeps no part of
the app waiting.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import MutableMapping
from typing import Any

from starlette.types import Message, Receive, Scope, Send

from unspool.app.permissions import holds
from unspool.app.rights import right_for_callback
from unspool.bundle import LARGEST_BUNDLE_BYTES
from unspool.language import later

# A page sends its address and the values of its form, some kB.
MOST_BYTES = 512 * 1024
LONGEST_S = 20.0
# Files are larger, and come from those alone who may change things.
IMPORT = "/import"
LONGEST_IMPORT_S = 120.0
TOO_LARGE = later("That is more than a page of unspool sends.")
TOO_SLOW = later("The request took too long to arrive.")
NOT_YOURS = later("That is not for those who look on.")
MALFORMED = later("That is not a request that a page of unspool makes.")
# What Dash asks for a page's parts with.
CALLBACK = "/_dash-update-component"
_CALLBACK_KEYS = {"output": str, "inputs": list, "changedPropIds": list}


class BodyRefusedError(Exception):
    """Why a body is refused, as a message in English, with the status of the answer."""

    def __init__(self, why: str, status: int) -> None:
        super().__init__(why)
        self.status = status


async def whole_body(scope: Scope, receive: Receive) -> Receive:
    """A `receive` that gives the whole body at once. Raises BodyRefusedError."""
    is_file = scope["path"] == IMPORT
    most = LARGEST_BUNDLE_BYTES if is_file else MOST_BYTES
    longest_s = LONGEST_IMPORT_S if is_file else LONGEST_S
    try:
        body = await asyncio.wait_for(_read(receive, most), longest_s)
    except TimeoutError:
        raise BodyRefusedError(TOO_SLOW, 408) from None
    if scope["path"] == CALLBACK:
        asked = _callback(body)
        if asked is None:
            raise BodyRefusedError(MALFORMED, 400)
        if not holds(right_for_callback(asked["output"])):
            raise BodyRefusedError(NOT_YOURS, 403)
    given = False

    async def replay() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replay


async def _read(receive: Receive, most: int) -> bytes:
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return bytes(body)
        body += message.get("body", b"")
        if len(body) > most:
            raise BodyRefusedError(TOO_LARGE, 413)
        if not message.get("more_body"):
            return bytes(body)


def _callback(body: bytes) -> dict[str, Any] | None:
    try:
        asked = json.loads(body)
    except (ValueError, RecursionError):
        return None
    right = isinstance(asked, dict) and all(
        isinstance(asked.get(key), kind) for key, kind in _CALLBACK_KEYS.items()
    )
    return asked if right else None


class Held:
    """Holds the head of an answer back until it is known not to be a failure of the request."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self._failed = False

    async def __call__(self, message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start" and message["status"] >= 500:
            self._failed = True
        if not self._failed:
            await self._send(message)

    async def release(self, why: str) -> None:
        """Answers 400 with `why` in place of a failure."""
        if not self._failed:
            return
        headers = [(b"content-type", b"text/plain; charset=utf-8")]
        await self._send({"type": "http.response.start", "status": 400, "headers": headers})
        await self._send({"type": "http.response.body", "body": why.encode()})
