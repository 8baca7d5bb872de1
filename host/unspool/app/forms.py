"""Forms: a button leads to the address that holds what was chosen.

A page is made from its address alone, so a result can be kept, sent on and opened again.
"""

from __future__ import annotations

from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx
from dash.exceptions import PreventUpdate

from unspool.app.query import address


def serve_forms(dash: Dash) -> None:
    """Serves every form of the pages. A button's id is the path, a field's id its name."""

    @dash.callback(
        Output("address", "href"),
        Input({"go": ALL}, "n_clicks"),
        State({"field": ALL}, "value"),
        State({"field": ALL}, "id"),
        prevent_initial_call=True,
    )
    async def go(clicks: list[int | None], values: list[Any], ids: list[dict[str, str]]) -> str:
        pressed = ctx.triggered_id
        # A new page brings its button along, which nobody has pressed yet.
        if not any(clicks) or not isinstance(pressed, dict):
            raise PreventUpdate
        fields = {one["field"]: value for one, value in zip(ids, values, strict=True)}
        return address(str(pressed["go"]), fields)
