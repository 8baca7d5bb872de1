"""A floor from its side, as SVG: its levels, with heights drawn larger than distances."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from unspool.car import Track
from unspool.language import _, localised
from unspool.render.figures.svg import Box, circle, line, polygon, svg, text

WIDTH, HEIGHT = 600.0, 200.0  # of the part with the levels, in the picture's own units
LEAST_RISE_MM = 10.0  # a level floor is drawn level, and not its last tenth of a millimetre
LETTERS = 20.0
MOST_LABELLED = 8


def floor_svg(track: Track) -> str:
    """The drawing, with distance and height beside each level if there is room."""
    first, last = track.distance_m[0], track.distance_m[-1]
    low, high = 1e3 * min(track.height_m), 1e3 * max(track.height_m)
    across, up = WIDTH / max(last - first, 1.0), HEIGHT / max(high - low, LEAST_RISE_MM)
    points = [
        ((x - first) * across, 40.0 + (1e3 * h - low) * up)
        for x, h in zip(track.distance_m, track.height_m, strict=True)
    ]
    view = Box(-60.0, -60.0, WIDTH + 60.0, HEIGHT + 90.0)
    ground = [(view.left, points[0][1]), *points, (view.right, points[-1][1])]
    corners = [(view.left, view.bottom), *ground, (view.right, view.bottom)]
    lines = (line(*a, *b, "floor") for a, b in pairwise(ground))
    parts = [polygon(corners, "ground"), *lines, *_levels(track, points)]
    return svg(view, LETTERS, parts, describe(track), floor=False)


def describe(track: Track) -> str:
    """The same in words, for those who do not see it."""
    rise = 1e3 * (max(track.height_m) - min(track.height_m))
    return _(
        "{floor} from its side, in {levels} levels, up to {end} from the launch line. Its highest"
        " level is {rise} above its lowest.",
        floor=track.name,
        levels=len(track.distance_m),
        end=localised(f"{track.distance_m[-1]:.4g} m"),
        rise=localised(f"{rise:.4g} mm"),
    )


def _levels(track: Track, points: list[tuple[float, float]]) -> Iterator[str]:
    labelled = len(points) <= MOST_LABELLED
    for x, h, (across, up) in zip(track.distance_m, track.height_m, points, strict=True):
        yield circle(across, up, 6.0, "level")
        if labelled:
            yield text(across, up + 12.0, localised(f"{1e3 * h:.4g}\u202fmm"), "middle")
            yield text(across, -40.0, localised(f"{x:.4g}\u202fm"), "middle")
