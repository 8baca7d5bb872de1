"""A video or a photo beside an attempt. It stays in the browser: nothing of it is sent."""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np
from dash import html

from unspool.app.parts import Tile, attributes, button, fold
from unspool.language import _
from unspool.reading.events.types import Reading
from unspool.render.words.reading_units import reading_of

POINTS = 400  # of the trace that a video follows


def media_part(run_id: str, name: str, reading: Reading, figures: Sequence[Tile]) -> html.Details:
    """assets/media.js fills it in when somebody chooses a file. figures: for a still of it."""
    shown = [(one.label, one.value, _("expected {what}", what=one.expected)) for one in figures]
    root = html.Div(
        [
            html.P(
                _("Choose a video or photos of it. They stay on this computer: nothing is sent.")
            ),
            button(_("Choose a file"), data_media_choose="", data_local=""),
            html.P("", role="status", **attributes(data_media_said="")),
            html.Div([], **attributes(data_media_shown="")),
        ],
        className="media",
        **attributes(
            data_media=run_id,
            data_media_name=name,
            data_trace=json.dumps(_trace(reading)),
            data_figures=json.dumps(shown),
        ),
    )
    return fold(_("Video and photos"), root)


def _trace(reading: Reading) -> dict[str, list[float] | list[str]]:
    """t: seconds after the launch. x, v: distance and speed in `units`, as the picture has them."""
    motion = reading.motion
    pick = np.unique(np.linspace(0, max(len(motion.time_s) - 1, 0), POINTS).astype(int))
    if not len(motion.time_s):
        return {"t": [], "x": [], "v": [], "units": []}
    far, fast = reading_of("m"), reading_of("m/s")
    after_s = motion.time_s[pick] - motion.launch_s
    return {
        "t": np.round(after_s, 4).tolist(),
        "x": np.round(far.factor * motion.distance_m[pick], 4).tolist(),
        "v": np.round(fast.factor * motion.speed_m_s[pick], 4).tolist(),
        "units": [far.unit, fast.unit],
    }
