"""Car, drum and track. TOML text comes in.

A Car or a Track in SI goes out, or every fault of the file.
"""

from unspool.car.load import load_car, load_track, parse_car, parse_track
from unspool.car.measured import Measured, drive_efficiency, measured
from unspool.car.of_run import OfRun
from unspool.car.track import FLAT, Track
from unspool.car.vehicle import Car, Encoder, Geometry, Losses, Pulley, Tier, Wheel

__all__ = [
    "FLAT",
    "Car",
    "Encoder",
    "Geometry",
    "Losses",
    "Measured",
    "OfRun",
    "Pulley",
    "Tier",
    "Track",
    "Wheel",
    "drive_efficiency",
    "load_car",
    "load_track",
    "measured",
    "parse_car",
    "parse_track",
]
