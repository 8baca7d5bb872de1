"""Share: how others look on, on the computer that runs unspool; and what they may do."""

from __future__ import annotations

import segno
from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.parts import answer, attributes, button
from unspool.app.permissions import asks_from_here, may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.sharing import Sharing

PATH = "/share"
TITLE = "Let others look on"
CAREFUL = (
    "Everybody on this network can then see every page. What they send and see travels without"
    " encryption, so share on a network that you trust."
)


def share_page(sharing: Sharing) -> Page:
    if not asks_from_here():
        return Page(TITLE, html.Article([html.H1(TITLE), *_guest()]))
    body = _on(sharing) if sharing.is_on else _off()
    said = html.P("", role="status", className="said", **attributes(data_share_said=""))
    return Page(TITLE, html.Article([html.H1(TITLE), *body, said], className="sharing"))


def _guest() -> list[Component]:
    """On another device: who shares is asked at the computer itself."""
    if may_change.get():
        return [answer("You gave the PIN: you can change everything here but the sharing itself.")]
    return [
        answer("You look on.", "The app runs on another computer, which shows a PIN."),
        html.P(dcc.Link("Give the PIN to change something", href=PIN_PATH, refresh=True)),
    ]


def _off() -> list[Component]:
    return [
        answer("Only this computer can open the app now.", CAREFUL),
        html.P(button("Let others look on", data_share="begin"), className="act"),
    ]


def _on(sharing: Sharing) -> list[Component]:
    addresses = sharing.addresses()
    if not addresses:
        return [answer("This computer is in no network now.", "Connect it, then open this again.")]
    return [
        answer("Others on this network can look on."),
        html.Div([_address(one) for one in addresses], className="addresses"),
        html.Section(
            [
                html.H2("PIN"),
                html.P(sharing.access.pin, className="bigpin"),
                html.P(
                    "Without it they look on. With it they can do whatever you can, but not end the"
                    " sharing. It is a new one each time unspool starts."
                ),
            ],
            className="plate",
        ),
        html.P(CAREFUL, className="quiet"),
        html.P(_end(sharing), className="act"),
    ]


def _end(sharing: Sharing) -> Component | str:
    if sharing.can_end:
        return button("End the sharing", data_share="end")
    return "unspool was started with --share, so the sharing ends when unspool does."


def _address(address: str) -> html.Figure:
    """Dark on light whatever the page's colours are, because cameras read only that well."""
    code = segno.make(address, error="m", micro=False)
    drawn = code.svg_data_uri(scale=8, border=4, dark="#000", light="#fff", unit="")
    picture = html.Img(src=drawn, alt=f"QR code of {address}", className="qr")
    return html.Figure([picture, html.Figcaption(address)])
