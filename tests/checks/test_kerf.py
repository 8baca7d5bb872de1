"""Kerf against what laser shops publish.

Source: the guides of three laser-cutting shops. They agree that a hole grows by one kerf and a part
shrinks by one kerf in each direction. A shape drawn 2.0 by 4.0 with a kerf of 0.2 comes out 2.2 by
4.2 as a hole and 1.8 by 3.8 as a part. (Kerfs they give: 0.08 to 0.45 mm over materials,
0.152 mm in 1/8 inch MDF.)
"""

from __future__ import annotations

import pytest

from unspool.workshop.choices import PartName
from unspool.workshop.kerf import allow_for_kerf, shifted
from unspool.workshop.outline import rectangle
from unspool.workshop.panel import Panel
from workshop.makes import drawn
from workshop.svg import area, by_class, panels


def test_rectangle_of_the_guides() -> None:
    """2.0 by 4.0 drawn: a hole of 2.2 by 4.2, a part of 1.8 by 3.8."""
    asked_hole = rectangle(2.2, 4.2, 0.0, 0.0)
    assert shifted(asked_hole, -0.1).area().bounds == pytest.approx((-1.0, -2.0, 1.0, 2.0))
    asked_part = rectangle(1.8, 3.8)
    assert shifted(asked_part, 0.1).area().bounds == pytest.approx((-1.0, -2.0, 1.0, 2.0))


def test_panel_grows_and_its_hole_shrinks() -> None:
    panel = Panel("plate", rectangle(20.0, 10.0), (rectangle(2.2, 4.2),))
    drawn_panel = allow_for_kerf(panel, 0.2)
    assert drawn_panel.outer.area().bounds == pytest.approx((-10.1, -5.1, 10.1, 5.1))
    assert drawn_panel.holes[0].area().bounds == pytest.approx((-1.0, -2.0, 1.0, 2.0))


def test_disc_in_thin_mdf() -> None:
    """A bore is a hole, the rim a part: 0.152 mm off the one and onto the other."""
    disc = panels(drawn(PartName.DISC, kerf_mm=0.152))["disc"]
    outer = by_class(disc, "outer")[0]
    bore = by_class(disc, "hole")[0]
    assert 2.0 * float(outer.attrib["r"]) == pytest.approx(60.152, abs=2e-4)
    assert 2.0 * float(bore.attrib["r"]) == pytest.approx(3.9 - 0.152, abs=2e-4)
    assert area(outer).is_valid
