"""The floor's slope profile, from its runs."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from unspool.language import _
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.study.calibration import SlopeProfile


def floor_figure(floor: SlopeProfile) -> go.Figure:
    """Height in mm against distance, with its 90 % band."""
    figure = empty_figure(_("distance along the floor (m)"), _("height (mm)"), legend_rows=1)
    x = floor.distance_m
    figure.add_trace(
        go.Scatter(
            x=np.concatenate([x, x[::-1]]),
            y=1e3 * np.concatenate([floor.high_m, floor.low_m[::-1]]),
            fill="toself",
            fillcolor=palette.UNSURE,
            line={"width": 0},
            hoverinfo="skip",
            name=_("{share} band", share="90 %"),
        )
    )
    figure.add_trace(
        go.Scatter(
            x=x,
            y=1e3 * floor.height_m,
            name=_("from the attempts"),
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
