"""Cars and floors: all that the store knows, with a way to a new one."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.desk import CARS, FLOORS, Desk, no_version
from unspool.app.drafts import Draft, Drafts
from unspool.app.pages.attempts_form import floor_part, roll_out_part
from unspool.app.pages.desk_page import desk_page
from unspool.app.pages.not_found import no_thing_page
from unspool.app.pages.page import Page
from unspool.app.parts import answer, attributes, fold
from unspool.app.permissions import may_change
from unspool.app.query import Query
from unspool.car.editing import edited
from unspool.errors import InputError
from unspool.language import _, many
from unspool.names import name_key
from unspool.shelved import Shelved
from unspool.store import Shelf, Store


def cars_page(store: Store) -> Page:
    """Cars first, then floors; those that were put away are folded."""
    cars, floors = store.cars.listed(), store.tracks.listed()
    body = html.Div(
        [
            html.H1(_("Cars and floors")),
            *([] if cars else [_first()]),
            _shelf(CARS, _("Cars"), cars),
            _shelf(FLOORS, _("Floors"), floors),
        ],
        className="shelves",
    )
    return Page(_("Cars"), body, place="cars")


def one_page(store: Store, drafts: Drafts, desk: Desk, name: str, query: Query) -> Page:
    """A car or a floor: as it is, in a version, or with changes that are not saved yet.

    Raises InputError if there is no such version.
    """
    try:
        thing = _of(store, desk).one(name)
    except InputError:
        return no_thing_page(desk.noun, name)
    more = roll_out_part(store, thing) if desk is CARS else floor_part(store, thing.name)
    draft = drafts.get(query.text("draft"))
    if draft is None:
        version, wanted = thing.current, query.number("version")
        if wanted is not None:
            found = thing.version(int(wanted))
            if found is None:
                raise InputError(no_version(desk, thing.name, f"{wanted:g}"))
            version = found
        draft = Draft(thing.current.text, version.text, thing.revision)
    return desk_page(desk, thing, draft, more)


def new_page(store: Store, drafts: Drafts, desk: Desk, query: Query) -> Page:
    """A new one, which begins with plain sizes."""
    draft = drafts.get(query.text("draft"))
    if draft is None:
        text = edited(desk.new, {"name": _free_name(store, desk)})
        draft = Draft("", text, 0)
    more = [floor_part(store, desk.name_of(draft.text))] if desk is FLOORS else []
    return desk_page(desk, None, draft, *more)


def _of(store: Store, desk: Desk) -> Shelf:
    return store.cars if desk is CARS else store.tracks


def _free_name(store: Store, desk: Desk) -> str:
    taken = {name_key(one.name) for one in _of(store, desk).listed()}
    wanted = desk.name_of(desk.new)
    names = (wanted, *(f"{wanted} {number}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name_key(name) not in taken)


def _first() -> Component:
    return answer(
        _("Describe your car, and unspool says how far it should roll."),
        _(
            "A new car begins with common sizes: put yours in their place. Every field says how to "
            "measure it and how much it matters."
        ),
    )


def _shelf(desk: Desk, title: str, things: list[Shelved]) -> html.Section:
    used = [_card(desk, thing) for thing in things if not thing.away]
    away = [_card(desk, thing) for thing in things if thing.away]
    return html.Section(
        [
            html.H2(title),
            *([html.Ul(used, className="cards")] if used else []),
            *(
                [fold(_("{count} put away", count=len(away)), html.Ul(away, className="cards"))]
                if away
                else []
            ),
            *_ways(desk),
        ],
        className="plate",
    )


def _ways(desk: Desk) -> list[Component]:
    if not may_change.get():
        return []
    bring = attributes(data_desk_file=f"{desk.path}:file")
    return [
        html.P(
            [
                dcc.Link(_(desk.words.new), href=f"{desk.path}:new", className="go"),
                html.Button(
                    _(desk.words.open_file),
                    type="button",
                    className="second",
                    **bring,
                ),
            ],
            className="links",
        ),
        html.P("", role="status", className="said", **attributes(data_desk_said="")),
    ]


def _card(desk: Desk, thing: Shelved) -> html.Li:
    shown = desk.shown(thing.current.text)
    runs, count = len(thing.runs), len(thing.versions)
    ran = many("{count} attempt", "{count} attempts", runs)
    of = many("{count} version", "{count} versions", count)
    drawn = [html.Img(src=shown.picture, alt="", className="sketch")] if shown.picture else []
    link = dcc.Link([*drawn, html.Strong(thing.name)], href=desk.address(thing.name))
    return html.Li([link, html.Span(f"{ran}, {of}", className="quiet"), html.Span(shown.answer)])
