"""The floor's slope profile, from its runs."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from unspool.render.figures import palette
from unspool.render.figures.frame import framed
from unspool.render.words.rows import Row
from unspool.render.words.units import quantity
from unspool.study.calibration import SlopeProfile

FLOOR_HEAD = ("at", "height", "90 % between", "and")


def floor_rows(floor: SlopeProfile) -> list[Row]:
    """The columns of FLOOR_HEAD."""
    rows = zip(floor.distance_m, floor.height_m, floor.low_m, floor.high_m, strict=True)
    return [
        (quantity(x, "m"), *(quantity(1e3 * height, "mm", 1) for height in heights))
        for x, *heights in rows
    ]


def floor_caption(floor: SlopeProfile) -> str:
    """What the heights are worth."""
    certain = "The losses above take this floor for certain."
    if floor.mean_slope_known:
        return f"Height of the floor over its first point; the band holds 90 %. {certain}"
    return (
        "Height of the floor over the straight line from its first to its last point; the band "
        f"holds 90 %. {certain} With runs one way only, the mean slope hides in the rolling "
        "coefficient. A run back over the same floor (calibrate --back) would show it."
    )


def floor_figure(floor: SlopeProfile) -> go.Figure:
    """Height in mm against distance, with its 90 % band."""
    figure = framed("distance along the floor (m)", "height (mm)", legend_rows=1)
    x = floor.distance_m
    figure.add_trace(
        go.Scatter(
            x=np.concatenate([x, x[::-1]]),
            y=1e3 * np.concatenate([floor.high_m, floor.low_m[::-1]]),
            fill="toself",
            fillcolor=palette.UNSURE,
            line={"width": 0},
            hoverinfo="skip",
            name="90 % band",
        )
    )
    figure.add_trace(
        go.Scatter(
            x=x,
            y=1e3 * floor.height_m,
            name="from the runs",
            mode="lines+markers",
            line={"color": palette.MEASURED, "width": 3},
            marker={"size": 7},
            hovertemplate="%{x:.2f} m<br>%{y:.1f} mm<extra></extra>",
        )
    )
    figure.update_xaxes(rangemode="normal")
    figure.update_yaxes(rangemode="normal")
    figure.update_layout(margin={"t": 12})
    return figure
