"""Pictures that can be zoomed and saved."""

from __future__ import annotations

from collections.abc import Sequence

import plotly.graph_objects as go
from dash import dcc, html

from unspool.app.parts.texts import attributes
from unspool.language import _, later
from unspool.render.figures.reading_units import for_reader
from unspool.render.html.saving import KINDS, file_name, picture_config, save_word

# What pictures show, by the word in the name of a saved file.
_SHOWN = {
    "speed": later("speed"),
    "stretches": later("stretches"),
    "energy": later("energy"),
    "time": later("speed over time"),
    "residuals": later("residuals"),
    "slots": later("slots"),
    "summary": later("speed"),
    "speeds": later("speeds"),
    "distance": later("distance"),
    "top-speed": later("top speed"),
}


def picture(figure: go.Figure, caption: str, what: str, of: Sequence[str]) -> html.Figure:
    """A picture that can be zoomed and saved.

    what: what it shows, in a word. of: the car and the run; both go into the name of a saved file.
    """
    figure = for_reader(figure)
    return html.Figure(
        [
            dcc.Graph(
                id=f"picture-{what}",
                figure=figure,
                responsive=True,
                style={"height": figure.layout.height},
                config=picture_config(),
            ),
            html.Figcaption(caption),
            save_buttons(what, of),
        ]
    )


def save_buttons(what: str, of: Sequence[str]) -> html.Div:
    """Buttons for the picture in the same figure; the script of `render.html` serves them."""
    file, shown = file_name(*of, what), _(_SHOWN.get(what, what))
    return html.Div(
        [
            *(
                html.Button(
                    save_word(kind),
                    type="button",
                    **attributes(
                        data_save=kind, data_name=file, aria_label=f"{save_word(kind)}: {shown}"
                    ),
                )
                for kind in KINDS
            ),
            html.Span("", role="status", **attributes(data_saved="")),
        ],
        className="save",
    )
