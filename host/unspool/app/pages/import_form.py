"""Files into the store, from the Logbook: dropped on the page or chosen."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from unspool.app.parts import attributes, button, fold
from unspool.app.permissions import may_change
from unspool.language import _


def import_form(cars: Sequence[str]) -> list[Component]:
    """cars: names of those that an edge file can be of. Guests get no form."""
    if not may_change.get():
        return []
    choices = [html.Option(_("none, for a bundle"), value=""), *(_option(car) for car in cars)]
    root = html.Div(
        [
            html.P(_("Drop bundles or edge files anywhere on this page, or choose them here.")),
            html.Label(
                [
                    html.Span(_("The car of the edge files")),
                    html.Select(choices, **attributes(data_drop_car="")),
                ]
            ),
            button(_("Choose files"), data_drop_choose=""),
            html.P("", role="status", **attributes(data_dropped="")),
        ],
        className="dropping",
        **attributes(data_drop=""),
    )
    return [fold(_("Import files"), root, opened=not cars)]


def _option(name: str) -> html.Option:
    return html.Option(name, value=name)
