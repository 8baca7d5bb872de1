"""The page of one car or floor: what it should do, its drawing, its form, its versions."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.desk import CARS, Desk, Shown
from unspool.app.drafts import Draft
from unspool.app.pages.desk_form import DeskForm
from unspool.app.pages.desk_versions import versions_part
from unspool.app.pages.page import Page
from unspool.app.pages.worksheet import PATH as WORKSHEET
from unspool.app.parts import attributes
from unspool.app.permissions import may_change
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.query import address
from unspool.car.toml_source import parse_toml
from unspool.errors import InputError
from unspool.language import _
from unspool.shelved import Shelved


def desk_page(desk: Desk, thing: Shelved | None, draft: Draft, *more: Component) -> Page:
    """thing: None for a new one. draft: the text to show. more: what stands after the form."""
    shown = desk.shown(draft.text)
    name = thing.name if thing else _(desk.words.new)
    form = DeskForm(desk, _raw(draft.text), shown)
    where = desk.address(thing.name) if thing else f"{desk.path}:new"
    data = attributes(
        data_desk_path=desk.path,
        data_text=draft.text,
        data_base=draft.base,
        data_seen=str(draft.seen),
        data_page=where,
        data_changed="yes" if draft.text != draft.base else "",
    )
    body = html.Article(
        [
            html.Header([html.H1(name), html.P(_where(desk, thing), className="links")]),
            _answer(shown),
            html.Div(
                [
                    html.Div(_picture(shown), className="bench"),
                    html.Div(form.fields(), className="sheets"),
                    html.Div(_saving(thing), className="ending"),
                ],
                className="desk",
                **data,
            ),
            *([versions_part(desk, thing)] if thing else []),
            *more,
        ],
        className="deskpage",
    )
    return Page(name, body, place="cars")


def _where(desk: Desk, thing: Shelved | None) -> list[Component]:
    found: list[Component] = [dcc.Link(_("All cars and floors"), href=CARS.path)]
    if desk is CARS and thing:
        found.append(
            dcc.Link(_("Worksheet for a class"), href=address(WORKSHEET, {"car": thing.name}))
        )
    return found


def _raw(text: str) -> dict[str, object]:
    try:
        return parse_toml(text, "the file")
    except InputError:
        return {}


def _answer(shown: Shown) -> html.Div:
    general = shown.faults.get("", "")
    return html.Div(
        [
            html.P(shown.answer, className="first", **attributes(data_shown="answer")),
            html.P(
                " ".join((general, *shown.warnings)).strip(), **attributes(data_shown="warnings")
            ),
        ],
        className="answer",
        **attributes(aria_live="polite"),
    )


def _picture(shown: Shown) -> html.Figure:
    """Without a picture the last one stays: while one types, a value is often a fault."""
    drawn = html.Img(
        src=shown.picture or None, alt=shown.what, className="sketch", **attributes(data_sketch="")
    )
    return html.Figure([drawn])


def _saving(thing: Shelved | None) -> list[Component]:
    if not may_change.get():
        return [html.P(dcc.Link(_("Give the PIN to change it"), href=PIN_PATH, refresh=True))]
    words = _("Save as a new version") if thing else _("Save")
    return [
        html.Button(words, type="button", **attributes(data_desk="save")),
        html.P("", role="status", className="said", **attributes(data_desk_said="")),
    ]
