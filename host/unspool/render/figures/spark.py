"""A run in a thumbnail: speed against distance as a small SVG."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.render.figures import palette

WIDTH, HEIGHT = 160, 40
PAD = 2.0
POINTS = 60


def spark_svg(distance_m: NDArray[np.float64], speed_m_s: NDArray[np.float64]) -> str:
    """One polyline, (n,) against (n,); an empty picture where there is nothing to draw."""
    path = _path(distance_m, speed_m_s) if len(distance_m) > 1 else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}"><path d="{path}" fill="none" '
        f'stroke="{palette.MEASURED}" stroke-width="2" stroke-linejoin="round"/></svg>'
    )


def _path(distance_m: NDArray[np.float64], speed_m_s: NDArray[np.float64]) -> str:
    pick = np.unique(np.linspace(0, len(distance_m) - 1, POINTS).astype(int))
    x, y = distance_m[pick], speed_m_s[pick]
    reach, peak = max(float(x.max()), 1e-9), max(float(y.max()), 1e-9)
    across = PAD + x / reach * (WIDTH - 2 * PAD)
    down = HEIGHT - PAD - y / peak * (HEIGHT - 2 * PAD)
    return "M" + "L".join(f"{a:.1f},{d:.1f}" for a, d in zip(across, down, strict=True))
