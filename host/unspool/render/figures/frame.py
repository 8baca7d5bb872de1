"""What all pictures have in common: paper, type, axes, and marks for events."""

from __future__ import annotations

from collections.abc import Iterable

import plotly.graph_objects as go

from unspool.model.outcome import Event
from unspool.render.figures import palette
from unspool.render.words.events import event_word, marked
from unspool.render.words.units import plain

# Labels of neighbouring events closer than this share of the axis go on separate rows.
CROWDED = 0.2
ROW_PX = 15
ROWS = 3
PLOT_PX = 340
LEGEND_ROW_PX = 20


def empty_figure(x_title: str, y_title: str, legend_rows: int = 0) -> go.Figure:
    """An empty picture with our axes and room below for so many legend rows on a narrow screen.

    The unit belongs in each title.
    """
    below = LEGEND_ROW_PX * legend_rows
    axis = {
        "showline": True,
        "linecolor": palette.INK,
        "gridcolor": palette.RULE,
        "zeroline": False,
        "ticks": "outside",
        "tickcolor": palette.INK,
        "automargin": True,
    }
    return go.Figure(
        layout={
            "template": "none",
            "height": PLOT_PX + below,
            "paper_bgcolor": palette.PAPER,
            "plot_bgcolor": palette.PAPER,
            "font": {"family": palette.FONT, "size": 14, "color": palette.INK},
            "margin": {"l": 8, "r": 12, "t": 10 + ROWS * ROW_PX, "b": 48 + below},
            "xaxis": {**axis, "title": {"text": x_title}, "rangemode": "tozero"},
            "yaxis": {**axis, "title": {"text": y_title}, "rangemode": "tozero"},
            "legend": {
                "orientation": "h",
                "yref": "container",
                "yanchor": "bottom",
                "y": 0.0,
                "x": 0.0,
            },
            "hovermode": "closest",
            "dragmode": False,
        }
    )


def label_rows(positions: list[float], span: float) -> list[int]:
    """A row for each label so that near neighbours do not overlap; positions ascend."""
    rows: list[int] = []
    for i, x in enumerate(positions):
        near = (rows[j] for j in range(i) if x - positions[j] < CROWDED * span)
        taken = set(near)
        rows.append(next((r for r in range(ROWS) if r not in taken), i % ROWS))
    return rows


def mark_events(figure: go.Figure, events: Iterable[Event], span: float, colour: str) -> None:
    """A thin line up each event and its word above the plot; span is the x axis's length in m."""
    for event in marked(events):
        x = event.distance_m
        line = {"color": colour, "width": 1.5}
        figure.add_shape(
            type="line", x0=x, x1=x, y0=0, y1=1, yref="paper", layer="below", line=line
        )
    name_events(figure, events, span, colour)


def name_events(figure: go.Figure, events: Iterable[Event], span: float, colour: str) -> None:
    """Each event's word above the plot, where it is."""
    shown = marked(events)
    rows = label_rows([e.distance_m for e in shown], span)
    for event, row in zip(shown, rows, strict=True):
        x = event.distance_m
        figure.add_annotation(
            x=x,
            y=1,
            yref="paper",
            yanchor="bottom",
            yshift=row * ROW_PX,
            xanchor="right" if x > 0.9 * span else "left" if x < 0.1 * span else "center",
            text=plain(event_word(event)),
            showarrow=False,
            font={"color": colour, "size": 13},
        )
