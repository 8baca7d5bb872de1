"""Bodies of requests, up to the size that our own forms send."""

from __future__ import annotations

from fastapi import Request


async def read_limited(request: Request, most: int) -> bytes | None:
    """The body, None if it has more than `most` bytes. It never reads much more than that."""
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > most:
            return None
    return body
