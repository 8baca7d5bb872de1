"""How far a run went, in a few words: what was not measured is never called a distance."""

from __future__ import annotations

from unspool.language import _, many
from unspool.reading.motion.types import Motion
from unspool.render.words.units import with_sd


def end_words(motion: Motion, stop_m: float, stop_sd_m: float | None = None) -> str:
    """Where the car came to rest, or where it was last seen."""
    place = with_sd(stop_m, stop_sd_m, "m")
    if not motion.stop_seen:
        return _("cut off at {place}, no stop seen", place=place)
    if lost := motion.train.lost_before:
        return many(
            "stopped {place} after its first edge, {count} edge lost before",
            "stopped {place} after its first edge, {count} edges lost before",
            lost,
            place=place,
        )
    return _("stopped at {place}", place=place)


def end_label(motion: Motion) -> str:
    """What a figure beside `stop_m` is called."""
    if not motion.stop_seen:
        return _("cut off at")
    return _("after its first edge") if motion.train.lost_before else _("distance")
