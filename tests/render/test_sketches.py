"""Drawings of cars and floors: sound markup, to scale, whatever the names are."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from unspool.car import parse_car, parse_track
from unspool.car.editing import edited
from unspool.car.new_car import NEW_CAR, NEW_FLOOR
from unspool.render.figures.car_drawing import car_svg, describe
from unspool.render.figures.floor_drawing import floor_svg
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

SVG = "{http://www.w3.org/2000/svg}"
CARS = [path.read_text("utf-8") for path in (SANDPIPER, DUNLIN)] + [NEW_CAR]


def parts(svg: str, tag: str, kind: str) -> list[dict[str, str]]:
    found = ElementTree.fromstring(svg).iter(SVG + tag)
    return [one.attrib for one in found if one.get("class") == kind]


@pytest.mark.parametrize("text", CARS)
def test_a_car_is_to_scale(text: str) -> None:
    car = parse_car(text, "x")
    svg = car_svg(car)
    wheels = {float(one["r"]) for one in parts(svg, "circle", "wheel")}
    assert wheels == {round(1e3 * wheel.radius_m, 2) for wheel in car.wheels}
    tiers = sorted(float(one["r"]) for one in parts(svg, "circle", "tier"))
    assert tiers == sorted(round(1e3 * tier.radius_m, 2) for tier in car.drum)
    (up,), (down,) = parts(svg, "rect", "weight"), parts(svg, "rect", "landed")
    assert float(down["y"]) - float(up["y"]) == pytest.approx(1e3 * car.drop_m, abs=0.02)
    if car.geometry:
        driven, *others = parts(svg, "circle", "wheel")
        base = float(others[-1]["cx"]) - float(driven["cx"])
        assert base == pytest.approx(1e3 * car.geometry.wheelbase_m, abs=0.02)


def test_names_are_no_markup() -> None:
    name = '<script>"&'
    for svg in (
        car_svg(parse_car(edited(NEW_CAR, {"name": name, "drum.0.name": name}), "x")),
        floor_svg(parse_track(edited(NEW_FLOOR, {"name": name}), "x")),
    ):
        root = ElementTree.fromstring(svg)
        assert name in (root[0].text or "")
        assert not list(root.iter(SVG + "script"))


def test_the_picture_is_said_in_words() -> None:
    words = describe(parse_car(CARS[0], "x"))
    assert "Sandpiper" in words
    assert "640 g falls 560 mm" in words


@pytest.mark.parametrize(
    "text",
    [
        CORRIDOR.read_text("utf-8"),
        NEW_FLOOR,
        'name = "x"',
        'name = "x"\n' + "".join(f"[[level]]\ndistance_m={i}\nheight_mm={i}\n" for i in range(60)),
    ],
)
def test_a_floor_has_all_its_levels(text: str) -> None:
    track = parse_track(text, "x")
    found = [float(one["cx"]) for one in parts(floor_svg(track), "circle", "level")]
    assert len(found) == len(track.distance_m)
    assert found == sorted(found)


def test_levels_that_rise_are_drawn_higher() -> None:
    levels = parts(floor_svg(parse_track(CORRIDOR.read_text("utf-8"), "x")), "circle", "level")
    first, second, last = (float(one["cy"]) for one in levels)
    assert first == second > last
