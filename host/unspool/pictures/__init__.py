"""Readings and predictions as plotly figures: pure functions for pages, files and notebooks."""

from unspool.pictures.calibration import calibration_page
from unspool.pictures.compare import overlay_picture, spread_picture
from unspool.pictures.energy import energy_picture
from unspool.pictures.floor import floor_picture
from unspool.pictures.gallery import Captioned, reading_pictures
from unspool.pictures.losses import modelled_picture
from unspool.pictures.page import reading_page
from unspool.pictures.rollout import rollout_page
from unspool.pictures.spark import spark_svg
from unspool.pictures.speed import live_picture, speed_picture
from unspool.pictures.stretches import stretches_picture
from unspool.pictures.tornado import tornado_picture

__all__ = [
    "Captioned",
    "calibration_page",
    "energy_picture",
    "floor_picture",
    "live_picture",
    "modelled_picture",
    "overlay_picture",
    "reading_page",
    "reading_pictures",
    "rollout_page",
    "spark_svg",
    "speed_picture",
    "spread_picture",
    "stretches_picture",
    "tornado_picture",
]
