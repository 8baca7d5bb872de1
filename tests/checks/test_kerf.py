"""Kerf against what laser shops publish.

Source: the guides of three laser-cutting shops. They agree that a hole grows by one kerf and a part
shrinks by one kerf in each direction. A shape drawn 2.0 by 4.0 with a kerf of 0.2 comes out 2.2 by
4.2 as a hole and 1.8 by 3.8 as a part. (Kerfs they give: 0.08 to 0.45 mm over materials,
0.152 mm in 1/8 inch MDF.)
"""

from __future__ import annotations

import pytest

from unspool.workshop import Disc, draw
from unspool.workshop.kerf import drawn_hole_mm, drawn_part_mm
from workshop.svg import by_class, parse


@pytest.mark.parametrize(("comes_out", "drawn"), [(2.2, 2.0), (4.2, 4.0)])
def test_hole_is_drawn_smaller(comes_out: float, drawn: float) -> None:
    assert drawn_hole_mm(comes_out, 0.2) == pytest.approx(drawn)


@pytest.mark.parametrize(("comes_out", "drawn"), [(1.8, 2.0), (3.8, 4.0)])
def test_part_is_drawn_larger(comes_out: float, drawn: float) -> None:
    assert drawn_part_mm(comes_out, 0.2) == pytest.approx(drawn)


def test_disc_in_thin_mdf() -> None:
    """A bore is a hole, the rim a part: 0.152 mm off the one and onto the other."""
    root = parse(draw(Disc(slots=10, outer_mm=60.0, bore_mm=8.0, kerf_mm=0.152)))
    (outer,), (bore,) = by_class(root, "outer"), by_class(root, "bore")
    assert 2.0 * float(outer.attrib["r"]) == pytest.approx(60.152, abs=2e-4)
    assert 2.0 * float(bore.attrib["r"]) == pytest.approx(7.848, abs=2e-4)
