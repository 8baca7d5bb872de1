"""Kerf: a cutting beam removes a line of its own width, half of it on either side of the path.

So a hole comes out one kerf wider than it was drawn and a part one kerf narrower, in each
direction. All lengths in millimetres.
"""

from __future__ import annotations

from math import asin


def drawn_hole_mm(wanted_mm: float, kerf_mm: float) -> float:
    """Size to draw so that a hole comes out `wanted_mm` across."""
    return wanted_mm - kerf_mm


def drawn_part_mm(wanted_mm: float, kerf_mm: float) -> float:
    """Size to draw so that a part comes out `wanted_mm` across."""
    return wanted_mm + kerf_mm


def side_shift_rad(kerf_mm: float, radius_mm: float) -> float:
    """Angle by which a slot's radial side moves into the slot, at one radius.

    The side is shifted parallel to itself by half a kerf, so the angle shrinks with the radius.
    Raises ValueError when half a kerf reaches beyond the radius.
    """
    return asin(kerf_mm / 2.0 / radius_mm)
