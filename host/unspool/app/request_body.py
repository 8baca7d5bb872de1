"""Bodies of requests, no more of them than a form of ours sends."""

from __future__ import annotations

from fastapi import Request


async def little_of(request: Request, most: int) -> bytes | None:
    """The body, or None where it has more than `most` bytes; not all that somebody may pour in."""
    body = b""
    async for part in request.stream():
        body += part
        if len(body) > most:
            return None
    return body
