"""The run as planned, and over it the one that is tried."""

from __future__ import annotations

import plotly.graph_objects as go

from unspool.language import _
from unspool.model.outcome import Prediction
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure

ROOM = 1.4  # beyond the planned run, so that a better trial still fits
TRIED, STOP = 1, 2  # the traces that change


def trial_figure(planned: Prediction) -> go.Figure:
    """Trace TRIED is the run that is tried, STOP the interval of its stop; both as planned now."""
    figure = empty_figure(_("distance (m)"), _("speed (m/s)"))
    curve = planned.curve
    for name, style in (
        (_("as planned"), {"color": palette.EXPECTED, "width": 2, "dash": "6px,4px"}),
        (_("tried"), {"color": palette.MEASURED, "width": 3}),
    ):
        figure.add_trace(
            go.Scatter(x=curve.distance_m, y=curve.speed_m_s, name=name, mode="lines", line=style)
        )
    figure.add_trace(
        go.Scatter(
            x=[planned.distance_low_m, planned.distance_high_m],
            y=[0.0, 0.0],
            name=_("stops here, 9 times of 10"),
            mode="lines",
            line={"color": palette.FOUND, "width": 8},
        )
    )
    figure.update_traces(hoverinfo="skip")
    figure.update_xaxes(range=[0.0, planned.reach_m * ROOM])
    figure.update_yaxes(range=[0.0, planned.peak_speed_m_s * ROOM])
    # A run ends low and to the right, so that corner is free.
    corner = {"orientation": "v", "yref": "paper", "y": 1.0, "yanchor": "top", "x": 1.0}
    figure.update_layout(margin={"t": 12}, legend={**corner, "xanchor": "right"})
    return figure
