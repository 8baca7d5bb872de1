"""The demo's own invented cars and track. Their files come in, as a builder would write them.

Cars and a track go out.
"""

from __future__ import annotations

from pathlib import Path

from unspool.car import Car, Track, load_car, load_track

HERE = Path(__file__).parent
SANDPIPER = HERE / "sandpiper.toml"
DUNLIN = HERE / "dunlin.toml"
CORRIDOR = HERE / "corridor.toml"


# Sandpiper's windings while the demo runs: as in its file, a turn too few, a turn too many. Only
# the start tier changes, so that the board's count alone shows which.
LIVE_WINDINGS = ((3.5, 5.3), (2.5, 5.3), (4.5, 5.3))


def sandpiper() -> Car:
    """The demo's first car: two tiers."""
    return load_car(SANDPIPER)


def dunlin() -> Car:
    """The demo's second car: lighter, three tiers."""
    return load_car(DUNLIN)


def corridor() -> Track:
    """The demo's track: level, except for its far end, which rises a little."""
    return load_track(CORRIDOR)
