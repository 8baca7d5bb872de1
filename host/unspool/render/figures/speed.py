"""Speed against distance: what the car did over what it was expected to do."""

from __future__ import annotations

import plotly.graph_objects as go

from unspool.language import _
from unspool.model.outcome import Event, Prediction
from unspool.reading.events.types import Reading
from unspool.render.figures import palette
from unspool.render.figures.frame import (
    empty_figure,
    mark_events,
    name_events,
)
from unspool.render.words.events import event_word, marked
from unspool.render.words.units import plain, quantity

# Head room past the expected stop and above the expected peak, so that a better run still fits.
ROOM = 1.12


def live_figure(
    prediction: Prediction | None, found: tuple[Event, ...] = (), reach_m: float = 0.0
) -> go.Figure:
    """The scene of a run under way: trace 0 is the prediction, trace 1 waits for measured points.

    Axis ranges are fixed, so that neither a new point nor a redraw moves what a user zoomed to.
    `reach_m` widens the x axis if the car has outrun its prediction.
    """
    figure = empty_figure(_("distance (m)"), _("speed (m/s)"))
    figure.add_trace(_expected(prediction))
    figure.add_trace(_measured([], []))
    figure.update_layout(uirevision="live", showlegend=False, height=None)
    span = max(prediction.reach_m * ROOM if prediction else 10.0, reach_m)
    peak = prediction.peak_speed_m_s * 1.25 if prediction else 2.0
    figure.update_xaxes(range=[0.0, span])
    figure.update_yaxes(range=[0.0, peak])
    if prediction:
        _mark_expected(figure, prediction)
    if prediction and not found:
        name_events(figure, prediction.events, span, palette.EXPECTED)
    mark_events(figure, found, span, palette.FOUND)
    return figure


def speed_figure(reading: Reading) -> go.Figure:
    """A whole run: measured speed, prediction, events found and expected."""
    motion, prediction = reading.motion, reading.prediction
    figure = empty_figure(_("distance (m)"), _("speed (m/s)"), legend_rows=4)
    figure.add_trace(_expected(prediction))
    figure.add_trace(_measured(motion.distance_m, motion.speed_m_s))
    _mark_expected(figure, prediction)
    reach = max(reading.furthest_m, prediction.reach_m)
    mark_events(figure, reading.events, reach, palette.FOUND)
    return figure


def _expected(prediction: Prediction | None) -> go.Scatter:
    curve, name = prediction.curve if prediction else None, _("expected")
    return go.Scatter(
        x=curve.distance_m if curve else [],
        y=curve.speed_m_s if curve else [],
        name=name,
        mode="lines",
        line={"color": palette.EXPECTED, "width": 2, "dash": "6px,4px"},
        hovertemplate=name + "<br>%{x:.2f} m<br>%{y:.2f} m/s<extra></extra>",
    )


def _measured(distance_m: object, speed_m_s: object) -> go.Scatter:
    name = _("measured")
    return go.Scatter(
        x=distance_m,
        y=speed_m_s,
        name=name,
        mode="lines",
        line={"color": palette.MEASURED, "width": 3},
        hovertemplate=name + "<br>%{x:.2f} m<br>%{y:.2f} m/s<extra></extra>",
    )


def _mark_expected(figure: go.Figure, prediction: Prediction) -> None:
    """Hollow marks on the expected curve, and the interval in which the stop is expected."""
    events = marked(prediction.events)
    figure.add_trace(
        go.Scatter(
            x=[e.distance_m for e in events],
            y=[e.speed_m_s for e in events],
            text=[plain(event_word(e)) for e in events],
            name=_("expected events"),
            mode="markers",
            cliponaxis=False,
            marker={
                "symbol": "diamond",
                "size": 11,
                "color": palette.PAPER,
                "line": {"color": palette.EXPECTED, "width": 2},
            },
            hovertemplate=_("expected") + ": %{text}<br>%{x:.2f} m<extra></extra>",
        )
    )
    low, high = prediction.distance_low_m, prediction.distance_high_m
    stop = _(
        "stop expected between {low} and {high}",
        low=quantity(low, "m"),
        high=quantity(high, "m"),
    )
    figure.add_trace(
        go.Scatter(
            x=[low, high],
            y=[0.0, 0.0],
            name=_("expected stop, {share}", share="90 %"),
            mode="lines",
            cliponaxis=False,
            line={"color": palette.EXPECTED, "width": 7},
            hovertemplate=f"{stop}<extra></extra>",
        )
    )
