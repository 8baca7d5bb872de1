"""Parts as drawings. Their measures come in.

A drawing in millimetres goes out.
"""

from unspool.workshop.disc import Disc, Placement
from unspool.workshop.drawing import Form, draw

__all__ = ["Disc", "Form", "Placement", "draw"]
