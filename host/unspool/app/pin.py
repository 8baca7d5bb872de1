"""The page on which a guest gives the PIN, plain enough to need no script."""

from __future__ import annotations

from math import ceil
from urllib.parse import parse_qs

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from unspool.app.access import COOKIE, PIN_DIGITS, Door
from unspool.app.request_body import little_of

PATH = "/pin"
LONGEST_FORM = 200  # bytes
_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>PIN - unspool</title>
<link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
<link rel="stylesheet" href="/assets/unspool.css">
</head>
<body>
<main id="main">
<h1>Give the PIN</h1>
<p>{said}</p>
<form method="post" action="/pin" class="pin">
<label for="pin">PIN</label>
<input id="pin" name="pin" inputmode="numeric" autocomplete="off" maxlength="{digits}" autofocus>
<button type="submit">Give it</button>
</form>
<p><a href="/">Go on looking only</a></p>
</main>
</body>
</html>"""
ASK = "The computer that records shows it in its terminal. Without it you can look, not change."


def ask_pins(server: FastAPI, door: Door) -> None:
    @server.get(PATH)
    async def ask() -> Response:
        return _page(ASK)

    @server.post(PATH)
    async def given(request: Request) -> Response:
        body = await little_of(request, LONGEST_FORM) or b""
        token = door.try_pin(parse_qs(body.decode("ascii", "ignore")).get("pin", [""])[0])
        if token is None:
            return _page(_refusal(door), 403 if door.wait_s == 0.0 else 429)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict")
        return answer


def _refusal(door: Door) -> str:
    if door.wait_s == 0.0:
        return "That is not the PIN. Look at the terminal once more."
    return f"That was not it, or too soon. Try again in {ceil(door.wait_s)} s."


def _page(said: str, status: int = 200) -> HTMLResponse:
    return HTMLResponse(_PAGE.format(said=said, digits=PIN_DIGITS), status)
