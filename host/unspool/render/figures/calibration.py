"""Modelled against measured: how well the calibrated losses predict where each run stopped."""

from __future__ import annotations

from math import isfinite

import plotly.graph_objects as go

from unspool.render.figures import palette
from unspool.render.figures.frame import framed
from unspool.render.words.units import plain, quantity
from unspool.study.calibration import Calibration, RunOutcome

MARGIN = 0.06  # of the span, so that no dot sits on an axis


def modelled_figure(calibration: Calibration) -> go.Figure:
    """A dot a run; on the dashed line the model says what was measured."""
    used = [run for run in calibration.runs if run.left_out is None and isfinite(run.measured_m)]
    figure = framed("measured (m)", "modelled (m)", legend_rows=2)
    span = _span(used)
    figure.add_trace(
        go.Scatter(
            x=span,
            y=span,
            name="modelled as measured",
            mode="lines",
            line={"color": palette.EXPECTED, "width": 2, "dash": "6px,4px"},
            hoverinfo="skip",
        )
    )
    for name, symbol, colour, odd in (
        ("run", "circle", palette.MEASURED, False),
        ("disagrees with the rest", "x", palette.FOUND, True),
    ):
        figure.add_trace(_dots([r for r in used if r.is_bad is odd], name, symbol, colour))
    figure.update_xaxes(range=span, rangemode="normal")
    figure.update_yaxes(range=span, rangemode="normal")
    figure.update_layout(margin={"t": 12})
    return figure


def _dots(runs: list[RunOutcome], name: str, symbol: str, colour: str) -> go.Scatter:
    return go.Scatter(
        x=[run.measured_m for run in runs],
        y=[run.modelled_m for run in runs],
        text=[plain(run.name) for run in runs],
        customdata=[quantity(run.measured_m - run.modelled_m, "m") for run in runs],
        name=name,
        mode="markers",
        showlegend=bool(runs),
        marker={"symbol": symbol, "size": 11, "color": colour},
        hovertemplate="%{text}<br>measured %{x:.2f} m<br>modelled %{y:.2f} m"
        "<br>difference %{customdata}<extra></extra>",
    )


def _span(runs: list[RunOutcome]) -> list[float]:
    ways = [way for run in runs for way in (run.measured_m, run.modelled_m)]
    low, high = min(ways, default=0.0), max(ways, default=1.0)
    room = MARGIN * max(high - low, 0.1 * high)
    return [low - room, high + room]
