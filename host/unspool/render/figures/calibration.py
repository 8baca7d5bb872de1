"""Modelled against measured: how well the calibrated losses predict where each run stopped."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from unspool.language import _
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.render.words.units import plain, quantity
from unspool.study.calibration import Calibration, RunOutcome

MARGIN = 0.06  # of the span, so that no dot sits on an axis


def modelled_figure(calibration: Calibration) -> go.Figure:
    """A dot a run; on the dashed line the model says what was measured."""
    used = [
        _Dot(run, run.measured_m, run.miss_m)
        for run in calibration.runs
        if run.left_out is None and run.measured_m is not None and run.miss_m is not None
    ]
    figure = empty_figure(_("measured (m)"), _("modelled (m)"), legend_rows=2)
    span = _span(used)
    figure.add_trace(
        go.Scatter(
            x=span,
            y=span,
            name=_("modelled as measured"),
            mode="lines",
            line={"color": palette.EXPECTED, "width": 2, "dash": "6px,4px"},
            hoverinfo="skip",
        )
    )
    for name, symbol, colour, odd in (
        (_("attempt"), "circle", palette.MEASURED, False),
        (_("disagrees with the rest"), "x", palette.FOUND, True),
    ):
        figure.add_trace(
            _dots([dot for dot in used if dot.run.is_bad is odd], name, symbol, colour)
        )
    figure.update_xaxes(range=span, rangemode="normal")
    figure.update_yaxes(range=span, rangemode="normal")
    figure.update_layout(margin={"t": 12})
    return figure


@dataclass(frozen=True)
class _Dot:
    run: RunOutcome
    measured_m: float
    miss_m: float


def _dots(dots: list[_Dot], name: str, symbol: str, colour: str) -> go.Scatter:
    return go.Scatter(
        x=[dot.measured_m for dot in dots],
        y=[dot.run.modelled_m for dot in dots],
        text=[plain(dot.run.name) for dot in dots],
        customdata=[quantity(dot.miss_m, "m") for dot in dots],
        name=name,
        mode="markers",
        showlegend=bool(dots),
        marker={"symbol": symbol, "size": 11, "color": colour},
        hovertemplate="%{text}<br>"
        + _(
            "measured {measured}<br>modelled {modelled}<br>difference {difference}",
            measured="%{x:.2f} m",
            modelled="%{y:.2f} m",
            difference="%{customdata}",
        )
        + "<extra></extra>",
    )


def _span(dots: list[_Dot]) -> list[float]:
    ways = [way for dot in dots for way in (dot.measured_m, dot.run.modelled_m)]
    low, high = min(ways, default=0.0), max(ways, default=1.0)
    room = MARGIN * max(high - low, 0.1 * high)
    return [low - room, high + room]
