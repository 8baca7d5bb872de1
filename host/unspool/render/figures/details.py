"""Pictures of a run's details: speed over time, residuals of the fit, the disc's slots."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from unspool.language import _
from unspool.reading.events.types import Reading
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure

# The ring is drawn so that the worst slot reaches this share of the way to the rim.
RING_REACH = 0.7
LEAST_RING_PERCENT = 0.1


def time_figure(reading: Reading) -> go.Figure:
    """Speed against time from the launch, measured over expected."""
    motion, expected = reading.motion, reading.prediction.curve
    figure = empty_figure(_("time (s)"), _("speed (m/s)"), 1)
    figure.add_trace(
        go.Scatter(
            x=expected.time_s,
            y=expected.speed_m_s,
            name=_("expected"),
            mode="lines",
            line={"color": palette.EXPECTED, "width": 2, "dash": "dash"},
            hoverinfo="skip",
        )
    )
    figure.add_trace(
        go.Scatter(
            x=motion.time_s - motion.launch_s,
            y=motion.speed_m_s,
            name=_("measured"),
            mode="lines",
            line={"color": palette.MEASURED, "width": 3},
            hovertemplate="%{x:.2f} s<br>%{y:.2f} m/s<extra></extra>",
        )
    )
    return figure


def residual_figure(reading: Reading) -> go.Figure:
    """The speed between each two neighbouring edges, less the fitted curve, in mm/s."""
    motion = reading.motion
    step_s = np.diff(motion.time_s)
    apart = step_s > 0.0
    between = np.diff(motion.distance_m)[apart] / step_s[apart]
    fitted = (0.5 * (motion.speed_m_s[1:] + motion.speed_m_s[:-1]))[apart]
    middle = (0.5 * (motion.distance_m[1:] + motion.distance_m[:-1]))[apart]
    figure = empty_figure(_("distance (m)"), _("edge by edge less fit (mm/s)"))
    figure.add_trace(
        go.Scatter(
            x=middle,
            y=1e3 * (between - fitted),
            mode="markers",
            marker={"color": palette.MEASURED, "size": 4, "opacity": 0.6},
            hovertemplate="%{x:.2f} m<br>%{y:.1f} mm/s<extra></extra>",
        )
    )
    figure.update_yaxes(rangemode="normal", zeroline=True, zerolinecolor=palette.INK)
    return figure


def slots_figure(pitch: NDArray[np.float64]) -> go.Figure:
    """How much wider or narrower than the mean each slot is, round the disc, in percent.

    pitch: (pulses_per_turn,), mean 1.
    """
    off = 100.0 * (pitch - 1.0)
    n = len(off)
    angle = np.arange(n + 1) * 360.0 / n
    reach = max(float(np.abs(off).max(initial=0.0)), LEAST_RING_PERCENT) / RING_REACH
    figure = empty_figure("", "")
    closed = np.append(off, off[:1])
    ring = {"r": closed, "theta": angle, "mode": "lines+markers", "name": _("slots")}
    even = {"r": np.zeros(91), "theta": np.arange(91) * 4.0, "mode": "lines", "name": _("even")}
    figure.add_trace(
        go.Scatterpolar(
            **even, line={"color": palette.EXPECTED, "width": 2, "dash": "dash"}, hoverinfo="skip"
        )
    )
    figure.add_trace(
        go.Scatterpolar(
            **ring,
            line={"color": palette.MEASURED, "width": 2},
            hovertemplate="%{theta:.0f}°: %{r:.2f} %<extra></extra>",
        )
    )
    radial = {
        "range": [-2.0 * reach, reach],
        "tickvals": [-reach * RING_REACH, 0.0, reach * RING_REACH],
        "tickformat": "+.1f",
        "ticksuffix": " %",
        "gridcolor": palette.RULE,
    }
    figure.update_layout(
        polar={"radialaxis": radial, "angularaxis": {"rotation": 90, "gridcolor": palette.RULE}}
    )
    return figure
