"""Who may do what: the table of rights in words, and who has a PIN that stays."""

from __future__ import annotations

from datetime import UTC, datetime

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.access import Access
from unspool.app.pages.page import Page
from unspool.app.parts import answer, attributes, button, local_time, table
from unspool.app.parts.table import Cells
from unspool.app.permissions import asks_from_here, holds, may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.rights import ACTS, Right
from unspool.language import _, later
from unspool.pins import LONGEST_NAME, Role
from unspool.store import KeptPin

PATH = "/share/who"
TITLE = later("Who may do what")
ROLES = {
    Role.JUDGE: later("Judge"),
    Role.STATION: later("Station"),
    Role.OWNER: later("Owner"),
}
# In the order of the page; each can also look on.
WHO = {
    Right.LOOK: (later("Everybody, without a PIN"), ""),
    Right.JUDGE: (later("A judge"), later("A judge's PIN opens this, and nothing else:")),
    Right.STATION: (later("A station"), later("A station's PIN opens this, and nothing else:")),
    Right.OWN: (
        later("An owner"),
        later("An owner's PIN opens what judges and stations do, and this:"),
    ),
    Right.HERE: (
        later("The computer that runs unspool"),
        later("It needs no PIN. It may do all of that, and this:"),
    ),
}
GAVE = {
    Right.OWN: later("You gave an owner's PIN."),
    Right.JUDGE: later("You gave a judge's PIN."),
    Right.STATION: later("You gave a station's PIN."),
}


def who_page(access: Access) -> Page:
    """Raises nothing of the store: without it, the PINs are those that were known before."""
    parts = [html.H1(_(TITLE)), answer(_you()), *_give_pin(), *map(_may, WHO)]
    if may_change.get():
        parts.append(_kept(list(access.kept.now())))
    parts.append(html.P(dcc.Link(_("Let others look on"), href="/share"), className="links"))
    return Page(_(TITLE), html.Article(parts, className="sharing"))


def _you() -> str:
    if asks_from_here():
        return _("You are at the computer that runs unspool, so you may do all of this.")
    for right, text in GAVE.items():
        if holds(right):
            return _(text)
    return _("You look on.")


def _give_pin() -> list[Component]:
    if any(map(holds, GAVE)):
        return []
    link = dcc.Link(_("Give the PIN to change something"), href=PIN_PATH, refresh=True)
    return [html.P(link)]


def _may(right: Right) -> html.Section:
    title, lead = WHO[right]
    acts = [html.Li(_(act.words)) for act in ACTS if act.right is right and act.words]
    head = [html.H2(_(title)), *([html.P(_(lead))] if lead else [])]
    return html.Section([*head, html.Ul(acts)], className="plate")


def _kept(pins: list[KeptPin]) -> html.Section:
    parts: list[Component] = [html.H2(_("PINs that stay"))]
    here = asks_from_here()
    if pins:
        head = [_("Name"), _("Role"), _("Since"), _("Given by")]
        head += [_("Change")] if here else []
        parts.append(
            table(
                _("The PINs themselves are kept nowhere."), head, [_row(one, here) for one in pins]
            )
        )
    else:
        parts.append(
            html.P(_("Nobody has one yet. The PINs of the sharing are new at each start."))
        )
    if here:
        parts.append(_giving())
    return html.Section(parts, className="plate", **attributes(data_who_pins=""))


def _row(one: KeptPin, here: bool) -> Cells:
    role = _(ROLES[Role(one.role)]) if one.role in set(Role) else one.role
    since = local_time(datetime.fromtimestamp(one.made_us / 1e6, UTC))
    whole = html.Span(role, className="whole")
    cells: list[str | Component] = [one.name, whole, since, one.who]
    if here:
        label = _("Take away the PIN of {name}", name=one.name)
        away = attributes(data_take_away=one.name, aria_label=label)
        cells.append(html.Button(_("Take away"), type="button", className="second whole", **away))
    return cells


def _giving() -> html.Div:
    """who.js sends it, and shows the PIN."""
    box = dcc.Input(
        id={"who": "name"}, name="name", type="text", autoComplete="off", maxLength=LONGEST_NAME
    )
    roles = html.Select(
        [html.Option(_(text), value=role) for role, text in ROLES.items()], name="role"
    )
    fields = [
        html.Label([html.Span(_("Name"), className="name"), box]),
        html.Label([html.Span(_("Role"), className="name"), roles]),
    ]
    said = html.P("", role="status", className="said", **attributes(data_who_said=""))
    pin = html.P("", className="bigpin", hidden=True, **attributes(data_who_pin=""))
    noted = _("I have written it down")
    done = html.Button(noted, type="button", hidden=True, **attributes(data_who_done=""))
    return html.Div(
        [
            html.H3(_("Give somebody a PIN")),
            *(html.Div(one, className="field") for one in fields),
            html.P(button(_("Give a PIN"), data_who_give=""), className="acts"),
            *(said, pin, html.P(done, className="acts")),
        ],
        className="giving",
        **attributes(data_who_form=""),
    )
