"""All pictures of one reading, the most important first, each with its caption."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from unspool.language import _
from unspool.reading.events.types import Reading
from unspool.render.figures.details import residual_figure, slots_figure, time_figure
from unspool.render.figures.energy import energy_figure
from unspool.render.figures.speed import speed_figure
from unspool.render.figures.stretches import stretches_figure


@dataclass(frozen=True)
class CaptionedFigure:
    """`name` is fit for a file's name."""

    name: str
    figure: go.Figure
    caption: str


def reading_figures(reading: Reading) -> list[CaptionedFigure]:
    """The disc's ring, if the run turned the wheel far enough to show its slots."""
    shown = [
        CaptionedFigure(
            "speed",
            speed_figure(reading),
            _(
                "Speed along the attempt. Solid: measured. Dashed: what the model expected of this "
                "winding. Lines mark the events found, diamonds where they were expected."
            ),
        ),
        CaptionedFigure(
            "stretches",
            stretches_figure(reading),
            _(
                "Speed squared is straight while one force drives; its kinks are the events. "
                "The steeper, the harder the pull."
            ),
        ),
        CaptionedFigure(
            "energy",
            energy_figure(reading.energy),
            _("Where the energy of the lifted weight went."),
        ),
        CaptionedFigure("time", time_figure(reading), _("Speed over time. Dashed: expected.")),
        CaptionedFigure(
            "residuals",
            residual_figure(reading),
            _(
                "What each pair of edges says of the speed, less the fit: noise without a pattern "
                "is good; a wave is a swinging weight or a wheel out of round."
            ),
        ),
    ]
    if len(reading.motion.used) > 2 * len(reading.motion.pitch):
        slots = slots_figure(reading.motion.pitch)
        shown.append(
            CaptionedFigure("slots", slots, _("The disc's slots, wider or narrower than even."))
        )
    return shown
