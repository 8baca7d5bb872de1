"""Panels on sheets: none lies on another or beyond the edge, and the page is in millimetres."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.workshop.choices import PAGES_MM, Form, PartName
from unspool.workshop.outline import Circle, rectangle
from unspool.workshop.panel import Panel
from unspool.workshop.parts.make import make_part
from unspool.workshop.sheet import BETWEEN_MM, lay_out
from unspool.workshop.svg import svg_text
from workshop.makes import CAR, drawn, measures
from workshop.svg import NS, by_class, numbers, parse, texts

SIDES = st.floats(1.0, 90.0)


@settings(max_examples=60)
@given(st.lists(st.tuples(SIDES, SIDES, st.integers(1, 3)), min_size=1, max_size=12))
def test_panels_keep_apart_on_every_sheet(sizes: list[tuple[float, float, int]]) -> None:
    asked = [Panel(f"{i}", rectangle(w, h), count=count) for i, (w, h, count) in enumerate(sizes)]
    sheets = lay_out(asked, ("note",), PAGES_MM["a4"])
    assert sum(len(sheet.panels) for sheet in sheets) == sum(count for _, _, count in sizes)
    for sheet in sheets:
        areas = [panel.outer.area() for panel in sheet.panels]
        assert all(a.distance(b) >= BETWEEN_MM - 1e-6 for a, b in combinations(areas, 2))
        for left, top, right, bottom in (a.bounds for a in areas):
            assert left >= 0.0
            assert top >= 0.0
            assert right <= sheet.width_mm
            assert bottom <= sheet.notes_top_mm


def test_all_parts_of_a_car_fit_on_sheets() -> None:
    part = make_part(PartName.ALL, measures(), CAR)
    sheets = lay_out(part.panels, part.notes, (400.0, 300.0))
    assert len(sheets) > 1
    names = {p.name for sheet in sheets for p in sheet.panels}
    assert {"disc", "bracket", "hub", "tray", "cover", "wheel rear", "flange"} <= names


def test_panel_larger_than_the_sheet_is_refused() -> None:
    with pytest.raises(InputError) as refused:
        lay_out([Panel("wheel", Circle(250.0))], (), PAGES_MM["a4"])
    assert [fault.where for fault in refused.value.faults] == ["wheel"]


def test_page_is_in_millimetres() -> None:
    root = drawn(PartName.DISC)
    width, height = root.attrib["width"], root.attrib["height"]
    assert width.endswith("mm")
    assert height.endswith("mm")
    assert numbers(root.attrib["viewBox"]) == [0.0, 0.0, *numbers(width), *numbers(height)]
    assert root.attrib["data-unspool"] == "1"


def test_bar_is_fifty_millimetres_long() -> None:
    (bar,) = [e for e in drawn(PartName.HUB).iter() if e.get("id") == "scale-bar"]
    assert "h 50 " in bar.attrib["d"] + " "


def test_cut_engrave_and_notes_are_layers_of_their_own() -> None:
    root = drawn(PartName.TRAY)
    layers = [e.attrib["id"] for e in root if e.tag == f"{NS}g"]
    assert layers == ["engrave", "cut", "notes"]
    assert len({e.attrib["stroke"] for e in root if e.get("stroke")}) == 2
    assert "tray" in texts(root)


def test_print_is_black_where_the_panel_is() -> None:
    (ink,) = by_class(drawn(PartName.DISC, form=Form.PRINT), "ink")
    assert ink.attrib["fill"] == "#000000"
    assert ink.attrib["fill-rule"] == "evenodd"
    assert ink.attrib["d"].count("M") == 15  # rim, bore, 3 screws, 10 slots


def test_hostile_names_stay_text() -> None:
    (sheet,) = lay_out([Panel("<script>&", Circle(20.0))], ("</svg>",))
    assert "<script>&" in texts(parse(svg_text(sheet)))
