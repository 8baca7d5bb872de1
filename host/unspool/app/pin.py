"""The page on which a guest gives the PIN, plain enough to need no script."""

from __future__ import annotations

from html import escape
from math import ceil
from urllib.parse import parse_qs

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from unspool.app.access import COOKIE, COOKIE_S, PIN_DIGITS, Access
from unspool.app.permissions import client
from unspool.app.plain_page import plain_page
from unspool.language import _, later

PATH = "/pin"
LONGEST_FORM = 200  # bytes
_FORM = """<form method="post" action="/pin" class="pin">
<label for="pin">PIN</label>
<input id="pin" name="pin" inputmode="numeric" autocomplete="off" maxlength="{digits}"
 autofocus>
<button type="submit">{onward}</button>
</form>
<p><a href="/">{look}</a></p>"""
ASK = later(
    'The computer that runs unspool shows the PIN on its page "Let others look on". Without it you'
    " can only look."
)


def serve_pin_page(server: FastAPI, access: Access) -> None:
    @server.get(PATH)
    async def ask() -> Response:
        return _page(_(ASK))

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
        return _("That is not the PIN. Look at that computer again.")
    return _("That is not the PIN, or it came too soon. Try again in {wait} s.", wait=ceil(wait_s))


def _page(text: str, status: int = 200) -> HTMLResponse:
    words = {"onward": escape(_("Continue")), "look": escape(_("Only look on"))}
    form = _FORM.format(digits=PIN_DIGITS, **words)
    return plain_page("PIN", _("Give the PIN"), text, form, status)
