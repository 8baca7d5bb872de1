"""Speed squared against distance: straight while one tier drives, kinked where something changed.

With constant force, v^2 = v_0^2 + 2 a (x - x_0): the slope of a stretch is twice its acceleration.
"""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from unspool.language import _
from unspool.reading.events.types import Reading, Stretch
from unspool.reading.motion.types import Motion
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure, mark_events
from unspool.render.words.events import stretch_word
from unspool.render.words.units import plain, with_sd


def stretches_figure(reading: Reading) -> go.Figure:
    """Measured v^2 as dots, each stretch as its straight line, events at the kinks."""
    motion = reading.motion
    figure = empty_figure(_("distance (m)"), _("speed squared (m²/s²)"), 1 + len(reading.stretches))
    figure.add_trace(
        go.Scatter(
            x=motion.distance_m,
            y=motion.speed_m_s**2,
            name=_("measured"),
            mode="markers",
            marker={"color": palette.MEASURED, "size": 4, "opacity": 0.6},
            hovertemplate="%{x:.2f} m<br>%{y:.3f} m²/s²<extra></extra>",
        )
    )
    for stretch, colour in zip(reading.stretches, stretch_colours(reading), strict=True):
        figure.add_trace(_line(motion, stretch, colour))
    mark_events(figure, reading.events, reading.furthest_m, palette.FOUND)
    return figure


def stretch_colours(reading: Reading) -> list[str]:
    """A colour for each stretch: tiers in turn, every coast the same."""
    tiers = [s.tier for s in reading.stretches if s.kind == "tier"]
    return [
        palette.STRETCHES[tiers.index(s.tier) % len(palette.STRETCHES)]
        if s.kind == "tier"
        else palette.COAST
        for s in reading.stretches
    ]


def _line(motion: Motion, stretch: Stretch, colour: str) -> go.Scatter:
    """The stretch's line, at the height that the measured points in it have on average."""
    x = np.array([stretch.from_m, stretch.to_m])
    slope = 2.0 * stretch.acceleration_m_s2
    inside = (motion.distance_m >= x[0]) & (motion.distance_m <= x[1])
    rest = motion.speed_m_s[inside] ** 2 - slope * motion.distance_m[inside]
    y = slope * x + (float(np.mean(rest)) if inside.any() else 0.0)
    pull = with_sd(stretch.acceleration_m_s2, stretch.acceleration_sd, "m/s²", 3)
    return go.Scatter(
        x=x,
        y=y,
        name=f"{plain(stretch_word(stretch))}: {pull}",
        mode="lines",
        line={"color": colour, "width": 3},
        hovertemplate=f"{plain(stretch_word(stretch))}<br>{pull}<extra></extra>",
    )
