"""All pictures of one reading in the order in which they are looked at, each with its caption."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from unspool.events.types import Reading
from unspool.pictures.closer import residual_picture, ring_picture, time_picture
from unspool.pictures.energy import energy_picture
from unspool.pictures.speed import speed_picture
from unspool.pictures.stretches import stretches_picture


@dataclass(frozen=True)
class Captioned:
    """`name` is fit for a file's name."""

    name: str
    figure: go.Figure
    caption: str


def reading_pictures(reading: Reading) -> list[Captioned]:
    """The disc's ring only where the run turned the wheel far enough to tell its slots."""
    shown = [
        Captioned(
            "speed",
            speed_picture(reading),
            "Speed along the run. Solid: measured. Dashed: what the model expected of this "
            "winding. Lines mark the events found, diamonds where they were expected.",
        ),
        Captioned(
            "stretches",
            stretches_picture(reading),
            "Speed squared is straight while one force drives; its kinks are the events. "
            "The steeper, the harder the pull.",
        ),
        Captioned(
            "energy",
            energy_picture(reading.energy),
            "Where the energy of the lifted weight went.",
        ),
        Captioned("time", time_picture(reading), "Speed over time. Dashed: expected."),
        Captioned(
            "residuals",
            residual_picture(reading),
            "What each pair of edges says of the speed, less the fit: noise without a pattern "
            "is good; a wave is a swinging weight or a wheel out of round.",
        ),
    ]
    if len(reading.motion.used) > 2 * len(reading.motion.pitch):
        ring = ring_picture(reading)
        shown.append(Captioned("slots", ring, "The disc's slots, wider or narrower than even."))
    return shown
