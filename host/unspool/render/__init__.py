"""What people see of a result: readings, predictions, calibrations, comparisons and plans come in.

Figures, sentences, pages and the winding card go out; nothing is computed here but their layout.
"""

from unspool.render.figures.calibration import modelled_figure
from unspool.render.figures.comparison import overlay_figure, spread_figure
from unspool.render.figures.energy import energy_figure
from unspool.render.figures.floor import floor_figure
from unspool.render.figures.gallery import Captioned, reading_figures
from unspool.render.figures.spark import spark_svg
from unspool.render.figures.speed import live_figure, speed_figure
from unspool.render.figures.stretches import stretches_figure
from unspool.render.figures.tornado import tornado_figure
from unspool.render.html.calibration import calibration_page
from unspool.render.html.page import reading_page
from unspool.render.html.rollout import rollout_page

__all__ = [
    "Captioned",
    "calibration_page",
    "energy_figure",
    "floor_figure",
    "live_figure",
    "modelled_figure",
    "overlay_figure",
    "reading_figures",
    "reading_page",
    "rollout_page",
    "spark_svg",
    "speed_figure",
    "spread_figure",
    "stretches_figure",
    "tornado_figure",
]
