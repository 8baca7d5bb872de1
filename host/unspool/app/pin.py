"""The page on which a guest gives the PIN, plain enough to need no script."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape
from math import ceil
from urllib.parse import parse_qs, urlsplit

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from unspool.app.access import COOKIE, COOKIE_S, Access
from unspool.app.permissions import client
from unspool.app.plain_page import plain_page
from unspool.app.workers import in_pin_worker
from unspool.language import _, later
from unspool.pins import LONGEST_NAME, MOST_DIGITS

PATH = "/pin"
HOME = "/"
LONGEST_FORM = 2000  # bytes
# A page of ours: no other host, no sign that a browser would read as one.
_OWN_PAGE = re.compile(r"/(?![/\\])[!-\[\]-~]{0,500}")
ASK = later(
    'The computer that runs unspool shows the PIN on its page "Let others look on". Without it you'
    " can only look."
)


@dataclass(frozen=True)
class _Asked:
    """back: the page that the PIN leads to. name: as it was typed."""

    back: str
    name: str = ""


def serve_pin_page(server: FastAPI, access: Access) -> None:
    @server.get(PATH)
    async def ask(request: Request) -> Response:
        return await _page(access, _(ASK), _Asked(_came_from(request)))

    @server.post(PATH)
    async def take(request: Request) -> Response:
        sent = _fields((await request.body())[:LONGEST_FORM])
        asked = _Asked(own_page(sent.get("to", "")), sent.get("name", "").strip()[:LONGEST_NAME])
        guest, pin = client.get(), sent.get("pin", "")
        token = await in_pin_worker(lambda: access.try_pin(pin, guest, asked.name))
        if token is None:
            wait_s = access.wait_s(guest)
            text = _refusal(wait_s, bool(asked.name))
            return await _page(access, text, asked, 429 if wait_s else 403)
        answer = RedirectResponse(asked.back, 303)
        answer.set_cookie(
            COOKIE,
            token,
            max_age=int(COOKIE_S),
            httponly=True,
            samesite="strict",
            secure=request.url.scheme == "https",
        )
        return answer


def own_page(address: str) -> str:
    """The address if it leads to a page of ours and to nothing else, or else Track's."""
    own = _OWN_PAGE.fullmatch(address) and urlsplit(address).path != PATH
    return address if own else HOME


def _came_from(request: Request) -> str:
    """The page whose link was followed: our browsers' pages say so, and only to us."""
    try:
        before = urlsplit(request.headers.get("referer", ""))
    except ValueError:
        return HOME
    if before.netloc != request.headers.get("host"):
        return HOME
    return own_page(before.path + (f"?{before.query}" if before.query else ""))


def _fields(body: bytes) -> dict[str, str]:
    try:
        found = parse_qs(body.decode("utf-8", "ignore"), max_num_fields=5)
    except ValueError:
        return {}
    return {name: values[0] for name, values in found.items()}


def _refusal(wait_s: float, by_name: bool) -> str:
    if wait_s:
        return _(
            "That is not the PIN, or it came too soon. Try again in {wait} s.", wait=ceil(wait_s)
        )
    if by_name:
        return _("That name and that PIN do not belong together. Look at both again.")
    return _("That is not the PIN. Look at that computer again.")


async def _page(access: Access, text: str, asked: _Asked, status: int = 200) -> HTMLResponse:
    by_name = bool(await in_pin_worker(access.kept.now))
    return plain_page("PIN", _("Give the PIN"), text, _form(asked, by_name), status)


def _form(asked: _Asked, by_name: bool) -> str:
    """by_name: some have a PIN of their own."""
    names = _("Name, if the PIN is your own")
    name = f"""<label for="name">{escape(names)}</label>
<input id="name" name="name" autocomplete="username" maxlength="{LONGEST_NAME}"
 value="{escape(asked.name)}">"""
    go_on, only_look = escape(_("Continue")), escape(_("Only look on"))
    return f"""<form method="post" action="{PATH}" class="pin">
<label for="pin">PIN</label>
<input id="pin" name="pin" inputmode="numeric" autocomplete="off" maxlength="{2 * MOST_DIGITS}"
 autofocus>
{name if by_name else ""}
<input type="hidden" name="to" value="{escape(asked.back)}">
<button type="submit">{go_on}</button>
</form>
<p><a href="{escape(asked.back)}">{only_look}</a></p>"""
