"""The drawing is what it says, read back from the SVG."""

from __future__ import annotations

from math import asin, degrees, hypot, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from unspool.workshop import Disc, Form, draw
from workshop.svg import NS, by_class, numbers, parse, slot, texts

TEN = Disc(slots=10, outer_mm=60.0, bore_mm=8.0, kerf_mm=0.2)


def test_page_is_in_millimetres() -> None:
    root = parse(draw(TEN))
    width, height = root.attrib["width"], root.attrib["height"]
    assert width.endswith("mm")
    assert height.endswith("mm")
    assert numbers(root.attrib["viewBox"]) == [0.0, 0.0, *numbers(width), *numbers(height)]
    assert root.attrib["data-unspool"] == "1"


def test_slots_are_counted_and_evenly_spaced() -> None:
    slots = [slot(e.attrib["d"]) for e in by_class(parse(draw(TEN)), "slot")]
    assert [s.angle_deg for s in slots] == pytest.approx([36.0 * i for i in range(10)], abs=1e-2)


def test_finished_disc_has_the_asked_measures() -> None:
    root = parse(draw(TEN))
    (outer,), (bore,) = by_class(root, "outer"), by_class(root, "bore")
    assert float(outer.attrib["r"]) == pytest.approx(30.1)
    assert float(bore.attrib["r"]) == pytest.approx(3.9)
    inner_r, outer_r = slot(by_class(root, "slot")[0].attrib["d"]).radii
    assert (inner_r, outer_r) == pytest.approx((22.1, 27.9), abs=2e-4)


def test_duty_is_a_half_without_kerf() -> None:
    plain = Disc(slots=16, outer_mm=70.0, bore_mm=6.0)
    slots = by_class(parse(draw(plain)), "slot")
    assert len(slots) == 16
    for element in slots:
        cut = slot(element.attrib["d"])
        assert cut.opening_deg(outer=True) == pytest.approx(11.25, abs=1e-3)
        assert cut.opening_deg(outer=False) == pytest.approx(11.25, abs=1e-3)


@settings(max_examples=50)
@given(slots=st.integers(3, 30), kerf_mm=st.floats(0.01, 0.45))
def test_slot_sides_stand_half_a_kerf_inside_the_finished_slot(slots: int, kerf_mm: float) -> None:
    disc = Disc(slots=slots, outer_mm=80.0, bore_mm=8.0, kerf_mm=kerf_mm)
    first = slot(by_class(parse(draw(disc)), "slot")[0].attrib["d"])
    quarter = pi / (2 * slots)
    for x, y in first.corners[2:]:  # the right side; its finished line leaves the centre at quarter
        across = x * -sin(pi / 2 - quarter) + -y * sin(quarter)
        assert across == pytest.approx(kerf_mm / 2.0, abs=2e-4)


def test_marks_of_the_sensors_sit_where_the_notes_say() -> None:
    root = parse(draw(TEN))
    (tick,) = by_class(root, "sensor-b")
    x, y = numbers(tick.attrib["d"])[:2]
    assert degrees(asin(x / hypot(x, y))) == pytest.approx(45.0, abs=1e-2)
    assert any("Sensor B 45 deg with the arrow from A: 5 quarter pitches" in t for t in texts(root))
    assert any("pulses_per_turn = 20" in t for t in texts(root))


def test_scale_bar_is_fifty_millimetres() -> None:
    (bar,) = (e for e in parse(draw(TEN)).iter(f"{NS}path") if e.get("id") == "scale-bar")
    start, path = numbers(bar.attrib["d"])[0], bar.attrib["d"]
    assert " h 50 " in path
    assert path.count("v 2.5") == 6
    assert f"M {start + 50:g}" in path


def test_cut_form_has_lines_only() -> None:
    (group,) = (e for e in parse(draw(TEN)).iter(f"{NS}g") if e.get("id") == "cut")
    assert group.attrib["fill"] == "none"
    assert len(list(group)) == 12
    assert not any("fill" in e.attrib for e in group)
    assert [e.get("class") for e in group][-1] == "outer"


def test_print_form_is_solid_and_ignores_the_kerf() -> None:
    root = parse(draw(TEN, Form.PRINT))
    (disc,) = by_class(root, "disc")
    assert disc.attrib["fill"] == "#000000"
    assert disc.attrib["fill-rule"] == "evenodd"
    outlines = disc.attrib["d"].split("Z")
    assert len([o for o in outlines if o.strip()]) == 12
    assert numbers(outlines[0])[2:4] == [30.0, 30.0]
    corners = slot(outlines[2] + "Z")
    assert corners.opening_deg(outer=True) == pytest.approx(18.0, abs=1e-3)


def test_everything_lies_on_the_page() -> None:
    for outer in (30.0, 60.0, 250.0):
        root = parse(draw(Disc(slots=8, outer_mm=outer, bore_mm=6.0, sensor_gap_mm=9.0)))
        width, height = numbers(root.attrib["width"])[0], numbers(root.attrib["height"])[0]
        (group,) = (e for e in root.iter(f"{NS}g") if e.get("id") == "cut")
        cx, cy = numbers(group.attrib["transform"])
        reach = outer / 2.0 + 9.0
        assert reach <= cx <= width - reach
        assert reach <= cy <= height - reach
        longest = max(len(t) for t in texts(root))
        # 0.5 em is the mean width of a letter in the common sans-serif faces, about.
        assert 12.0 + longest * 0.5 * 3.0 <= width
        assert max(float(t.attrib["y"]) for t in root.iter(f"{NS}text")) < height


def test_the_reader_itself() -> None:
    """What these tests measure with, on a slot made by hand."""
    known = slot("M 0 -10 L 0 -20 A 20 20 0 0 1 20 0 L 10 0 A 10 10 0 0 0 0 -10 Z")
    assert known.angle_deg == pytest.approx(45.0)
    assert known.opening_deg(outer=True) == pytest.approx(90.0)
    assert known.radii == (10.0, 20.0)
