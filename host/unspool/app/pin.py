"""The page on which a guest gives the PIN, plain enough to need no script."""

from __future__ import annotations

from math import ceil
from urllib.parse import parse_qs

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from unspool.app.access import COOKIE, COOKIE_S, PIN_DIGITS, Access
from unspool.app.own_files import STYLES, address
from unspool.app.permissions import client

PATH = "/pin"
LONGEST_FORM = 200  # bytes
_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>PIN - unspool</title>
<meta name="color-scheme" content="light dark">
<link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
{styles}
</head>
<body>
<main id="main">
<h1>Give the PIN</h1>
<p>{text}</p>
<form method="post" action="/pin" class="pin">
<label for="pin">PIN</label>
<input id="pin" name="pin" inputmode="numeric" autocomplete="off" maxlength="{digits}" autofocus>
<button type="submit">Continue</button>
</form>
<p><a href="/">Only look on</a></p>
</main>
</body>
</html>"""
ASK = "The computer that runs unspool shows the PIN in its terminal. Without it you can only look."


def serve_pin_page(server: FastAPI, access: Access) -> None:
    @server.get(PATH)
    async def ask() -> Response:
        return _page(ASK)

    @server.post(PATH)
    async def take(request: Request) -> Response:
        body = (await request.body())[:LONGEST_FORM]
        guest = client.get()
        given = parse_qs(body.decode("ascii", "ignore"), max_num_fields=5).get("pin", [""])[0]
        token = access.try_pin(given, guest)
        if token is None:
            wait_s = access.wait_s(guest)
            return _page(_refusal(wait_s), 429 if wait_s else 403)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, token, max_age=int(COOKIE_S), httponly=True, samesite="strict")
        return answer


def _refusal(wait_s: float) -> str:
    if wait_s == 0.0:
        return "That is not the PIN. Look at the terminal again."
    return f"That is not the PIN, or it came too soon. Try again in {ceil(wait_s)} s."


def _page(text: str, status: int = 200) -> HTMLResponse:
    styles = "\n".join(f'<link rel="stylesheet" href="{address(file)}">' for file in STYLES)
    return HTMLResponse(_PAGE.format(text=text, digits=PIN_DIGITS, styles=styles), status)
