"""Parts as drawings: encoder discs."""

from unspool.workshop.disc import Disc, Placement
from unspool.workshop.drawing import Form, draw

__all__ = ["Disc", "Form", "Placement", "draw"]
