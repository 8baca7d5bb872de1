"""A floor that runs show, as a track file."""

from __future__ import annotations

from unspool.study.calibration import SlopeProfile


def track_toml(floor: SlopeProfile, name: str = "floor") -> str:
    """The profile as a track file; the air stays as it is by default."""
    kind = "" if floor.mean_slope_known else "# Heights over the line from the first to the last.\n"
    rows = zip(floor.distance_m, floor.height_m, floor.low_m, floor.high_m, strict=True)
    levels = "".join(
        f"\n[[level]]\ndistance_m = {x:.3f}\nheight_mm = {1e3 * h:.2f}"
        f"  # 90 % from {1e3 * low:.2f} to {1e3 * high:.2f}\n"
        for x, h, low, high in rows
    )
    return f'# From runs, by unspool.\n{kind}unspool = 1\nname = "{name}"\n{levels}'
