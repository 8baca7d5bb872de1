"""The DXF read back with the library's reader: the same lines as in the SVG."""

from __future__ import annotations

from io import StringIO

import pytest
import shapely
from ezdxf.filemanagement import read

from unspool.workshop.choices import Colours, PartName
from unspool.workshop.dxf import dxf_text
from unspool.workshop.parts.make import make_part
from unspool.workshop.sheet import lay_out
from workshop.makes import CAR, KERF_MM, drawn, measures
from workshop.svg import area, by_class

PARTS = [name for name in PartName if name is not PartName.ALL]


@pytest.mark.parametrize("name", PARTS)
def test_cut_layer_holds_what_the_svg_cuts(name: PartName) -> None:
    part = make_part(name, measures(), CAR)
    (sheet,) = lay_out(part.panels, part.notes)
    document = read(StringIO(dxf_text(sheet, KERF_MM)))
    assert not document.audit().errors
    assert document.units == 4  # millimetres
    areas = []
    for entity in document.modelspace().query('*[layer=="CUT"]'):
        if entity.dxftype() == "CIRCLE":
            middle = shapely.Point(entity.dxf.center.x, entity.dxf.center.y)
            areas.append(middle.buffer(entity.dxf.radius, quad_segs=64).area)
        else:
            assert entity.closed
            areas.append(shapely.Polygon([(x, y) for x, y, *_ in entity.get_points()]).area)
    root = drawn(name, kerf_mm=KERF_MM)
    lines = [*by_class(root, "hole"), *by_class(root, "outer")]
    assert sorted(areas) == pytest.approx(sorted(area(e).area for e in lines), rel=1e-4)


def test_fields_of_a_pattern_are_closed_lines_to_engrave() -> None:
    part = make_part(PartName.PATTERN, measures(), CAR)
    (sheet,) = lay_out(part.panels, part.notes)
    document = read(StringIO(dxf_text(sheet)))
    fields = document.modelspace().query('LWPOLYLINE[layer=="ENGRAVE"]')
    assert [field.closed for field in fields] == [True] * 10


def test_layers_have_the_asked_colours() -> None:
    part = make_part(PartName.TRAY, measures(), None)
    (sheet,) = lay_out(part.panels, part.notes)
    document = read(StringIO(dxf_text(sheet, colours=Colours(cut="#00ff00", engrave="#0000ff"))))
    assert document.layers.get("CUT").rgb == (0, 255, 0)
    assert document.layers.get("ENGRAVE").rgb == (0, 0, 255)
