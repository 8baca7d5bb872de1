"""Share: how others look on, on the computer that runs unspool; and what they may do."""

from __future__ import annotations

import segno
from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.who import PATH as WHO
from unspool.app.parts import answer, attributes, button
from unspool.app.permissions import asks_from_here, holds, may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rights import Right
from unspool.app.sharing import Sharing
from unspool.language import _, later

PATH = "/share"
TITLE = later("Let others look on")
CAREFUL = later(
    "Everybody on this network can then see every page. What they send and see travels without"
    " encryption, so share on a network that you trust."
)
ENCRYPTED = later(
    "Everybody on this network can then see every page. What they send and see is encrypted on its"
    " way."
)

PINS = {
    Right.JUDGE: (
        later("To judge"),
        later("It calls attempts and keeps what the judge measures, no more."),
    ),
    Right.STATION: (
        later("To run a station"),
        later(
            "It starts and ends a board, chooses its car, marks tiers, checks its sensors and puts"
            " firmware on it, no more."
        ),
    ),
    Right.OWN: (
        later("To change everything"),
        later("It can do whatever you can, but not end the sharing."),
    ),
}


def share_page(sharing: Sharing) -> Page:
    who = html.P(dcc.Link(_("Who may do what"), href=WHO), className="links")
    if not asks_from_here():
        return Page(_(TITLE), html.Article([html.H1(_(TITLE)), *_guest(), who]))
    body = _on(sharing) if sharing.is_on else _off(sharing)
    said = html.P("", role="status", className="said", **attributes(data_share_said=""))
    return Page(_(TITLE), html.Article([html.H1(_(TITLE)), *body, said, who], className="sharing"))


def _guest() -> list[Component]:
    """On another device: who shares is asked at the computer itself."""
    if may_change.get():
        return [
            answer(_("You gave the PIN: you can change everything here but the sharing itself."))
        ]
    for right in (Right.JUDGE, Right.STATION):
        if holds(right):
            return [answer(_("You gave a PIN."), f"{_(PINS[right][0])}: {_(PINS[right][1])}")]
    return [
        answer(_("You look on."), _("The app runs on another computer, which shows a PIN.")),
        html.P(dcc.Link(_("Give the PIN to change something"), href=PIN_PATH, refresh=True)),
    ]


def _off(sharing: Sharing) -> list[Component]:
    return [
        answer(_("Only this computer can open the app now."), _careful(sharing)),
        html.P(button(_(TITLE), data_share="begin"), className="act"),
    ]


def _on(sharing: Sharing) -> list[Component]:
    addresses = sharing.addresses()
    if not addresses:
        return [
            answer(_("This computer is in no network now."), _("Connect it, then open this again."))
        ]
    return [
        answer(_("Others on this network can look on.")),
        html.Div([_address(one) for one in addresses], className="addresses"),
        html.Section(
            [
                html.H2(_("PINs")),
                *(part for right in PINS for part in _pin(sharing, right)),
                html.P(_("Without a PIN they look on. The PINs are new each time unspool starts.")),
            ],
            className="plate",
        ),
        html.P(_careful(sharing), className="quiet"),
        html.P(_end(sharing), className="act"),
    ]


def _careful(sharing: Sharing) -> str:
    return _(ENCRYPTED if sharing.certificate else CAREFUL)


def _pin(sharing: Sharing, right: Right) -> list[Component]:
    title, text = PINS[right]
    pin = html.P(sharing.access.pins[right], className="bigpin")
    return [html.H3(_(title)), pin, html.P(_(text))]


def _end(sharing: Sharing) -> Component | str:
    if sharing.can_end:
        return button(_("End the sharing"), data_share="end")
    return _("unspool was started with --share, so the sharing ends when unspool does.")


def _address(address: str) -> html.Figure:
    """Dark on light whatever the page's colours are, because cameras read only that well."""
    code = segno.make(address, error="m", micro=False)
    drawn = code.svg_data_uri(scale=8, border=4, dark="#000", light="#fff", unit="")
    picture = html.Img(src=drawn, alt=_("QR code of {address}", address=address), className="qr")
    return html.Figure([picture, html.Figcaption(address)])
