"""The demo's own invented cars and track, as the files that a builder would write."""

from __future__ import annotations

from pathlib import Path

from unspool.car import Car, Track, load_car, load_track

HERE = Path(__file__).parent
SANDPIPER = HERE / "sandpiper.toml"
DUNLIN = HERE / "dunlin.toml"
CORRIDOR = HERE / "corridor.toml"


def sandpiper() -> Car:
    """The demo's first car: two tiers."""
    return load_car(SANDPIPER)


def dunlin() -> Car:
    """The demo's second car: lighter, three tiers."""
    return load_car(DUNLIN)


def corridor() -> Track:
    """The demo's track: level, its far end rises a little."""
    return load_track(CORRIDOR)
