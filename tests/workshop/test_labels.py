"""Every word of a part's drawing can be read, and lies on no line that is cut."""

from __future__ import annotations

import pytest
import shapely

from unspool.workshop.choices import PAGES_MM, PartName
from unspool.workshop.modules import SensorKind
from unspool.workshop.parts.make import make_part
from unspool.workshop.sheet import lay_out
from unspool.workshop.svg import svg_text
from workshop.makes import CAR, measures
from workshop.svg import area, by_class, parse
from workshop.text_boxes import boxes, unreadable

ASKED = [
    *((name, SensorKind.FORK) for name in PartName),
    *((PartName.ALL, sensor) for sensor in (SensorKind.REFLECTIVE, SensorKind.HALL)),
]


@pytest.mark.parametrize(("name", "sensor"), ASKED)
@pytest.mark.parametrize("size", [None, PAGES_MM["a4"]])
def test_words_lie_apart_and_on_no_line(
    name: PartName, sensor: SensorKind, size: tuple[float, float] | None
) -> None:
    part = make_part(name, measures(sensor), CAR)
    for sheet in lay_out(part.panels, part.notes, size):
        root = parse(svg_text(sheet))
        assert unreadable(root) == []
        lines = [area(e).exterior for kind in ("outer", "hole") for e in by_class(root, kind)]
        cut = shapely.unary_union(lines)
        assert [text for text, box in boxes(root) if box.intersects(cut)] == []
