"""Each part has the asked measures, read back from its drawing, and the parts fit each other."""

from __future__ import annotations

from math import atan2, degrees, hypot, pi, radians

import pytest
import shapely
from shapely import affinity

from unspool.errors import InputError
from unspool.workshop.choices import Form, PartName
from unspool.workshop.modules import BOARDS, MODULES, SensorKind
from unspool.workshop.parts.bracket import PLATE_TO_DISC_MM
from unspool.workshop.parts.make import make_part
from unspool.workshop.parts.measures import Measures
from workshop.makes import CAR, KERF_MM, drawn, measures
from workshop.svg import area, by_class, finished, panels

NO_PART = (PartName.PATTERN, SensorKind.HALL)  # magnets need no pattern
DRAWN = [
    (name, sensor)
    for name in PartName
    for sensor in SensorKind
    if name is not PartName.ALL and (name, sensor) != NO_PART
]


def _middles(group: object) -> list[tuple[float, float]]:
    return [
        (h.centroid.x, h.centroid.y)
        for h in (area(e) for e in by_class(group, "hole"))  # type: ignore[arg-type]  # an Element
    ]


def _openings(name: str, root: object) -> list[shapely.Polygon]:
    return [area(e) for e in by_class(panels(root)[name], "hole")]  # type: ignore[arg-type]  # an Element


@pytest.mark.parametrize(("name", "sensor"), DRAWN)
def test_every_line_is_closed_and_crosses_nothing(name: PartName, sensor: SensorKind) -> None:
    root = drawn(name, measures(sensor), KERF_MM)
    groups = by_class(root, "panel")
    assert groups
    for group in groups:
        outer = area(by_class(group, "outer")[0])
        holes = [area(e) for e in by_class(group, "hole")]
        assert all(shape.is_valid and shape.area > 0.0 for shape in (outer, *holes))
        assert all(outer.contains(hole) for hole in holes)
        assert sum(h.area for h in holes) == pytest.approx(shapely.unary_union(holes).area)


@pytest.mark.parametrize(("name", "sensor"), DRAWN)
def test_cut_panel_comes_out_as_asked(name: PartName, sensor: SensorKind) -> None:
    """A beam along the drawn lines leaves the panel that was asked for."""
    wanted = measures(sensor)
    cut = by_class(drawn(name, wanted, KERF_MM), "panel")
    asked = {p.name: p.area().area for p in make_part(name, wanted, CAR).panels}
    for group in cut:
        left = finished(group, KERF_MM).area
        assert left == pytest.approx(asked[group.attrib["data-name"]], rel=2e-3)


def test_disc_has_its_slots_and_half_of_the_ring_is_open() -> None:
    slots = [hole for hole in _openings("disc", drawn(PartName.DISC)) if hole.area > 20.0]
    ring = pi * (28.0**2 - 22.0**2)
    assert len(slots) == 10
    assert sum(slot.area for slot in slots) == pytest.approx(ring / 2.0, rel=1e-3)


def _around(group: object) -> list[float]:
    """Distances of a hub's three screws from the bore, one after the other."""
    (x0, y0), *screws = _middles(group)[:4]
    return [n for x, y in screws for n in (round(x - x0, 3), round(y - y0, 3))]


def test_hub_and_disc_share_their_screw_holes() -> None:
    hub = panels(drawn(PartName.HUB))["hub"]
    disc = panels(drawn(PartName.DISC))["disc"]
    assert _around(hub) == pytest.approx(_around(disc), abs=2e-3)


def test_bracket_holds_both_forks_where_the_disc_wants_them() -> None:
    wanted = measures()
    (x0, y0), a, b, *_ = _middles(panels(drawn(PartName.BRACKET, wanted))["bracket"])
    turn = degrees(atan2(b[0] - x0, -(b[1] - y0)) - atan2(a[0] - x0, -(a[1] - y0)))
    assert turn == pytest.approx(wanted.disc().sensor_b.angle_deg, abs=1e-3)
    module = MODULES[SensorKind.FORK]
    face = hypot(a[0] - x0, a[1] - y0) - wanted.thickness_mm / 2.0  # of the foot
    assert face - 1.6 - module.above_board_mm == pytest.approx(wanted.disc().sensor_radius_mm)


@pytest.mark.parametrize("press_mm", [0.0, 0.1, 0.3])
def test_tenon_of_the_foot_fits_the_bracket_tightly(press_mm: float) -> None:
    root = drawn(PartName.BRACKET, measures(press_mm=press_mm))
    _, slot, *_ = _openings("bracket", root)
    foot = area(by_class(panels(root)["sensor foot"], "outer")[0])
    left, top, right, bottom = slot.bounds
    ys = sorted({round(y, 3) for _, y in foot.exterior.coords})
    tenon_xs = [x for x, y in foot.exterior.coords if round(y, 3) == ys[0]]
    assert (max(tenon_xs) - min(tenon_xs)) - (right - left) == pytest.approx(press_mm, abs=1e-3)
    assert (ys[1] - ys[0]) - (bottom - top) == pytest.approx(press_mm, abs=1e-3)


def _foot_from_above(wanted: Measures, angle_rad: float, turned_over: bool) -> shapely.Polygon:
    """What a foot covers of the bracket's plate, the shaft at the origin."""
    foot = make_part(PartName.BRACKET, wanted, None).panels[1].outer.area()
    left, _, right, _ = foot.bounds
    if turned_over:
        left, right = -right, -left
    radius = wanted.disc().sensor_radius_mm + MODULES[SensorKind.FORK].above_board_mm + 1.6
    flat = shapely.box(left, -radius - wanted.thickness_mm, right, -radius)
    return affinity.rotate(flat, degrees(angle_rad), origin=(0.0, 0.0))


@pytest.mark.parametrize("disc_mm", [50.0, 60.0, 90.0])
def test_feet_keep_apart_from_each_other_and_stay_under_the_cover(disc_mm: float) -> None:
    wanted = measures(disc_mm=disc_mm)
    place = wanted.disc().sensor_b
    clockwise = place.quarter_pitches > 0
    a = _foot_from_above(wanted, 0.0, turned_over=not clockwise)
    b = _foot_from_above(wanted, radians(place.angle_deg), turned_over=clockwise)
    assert a.distance(b) > 0.5
    lid = area(by_class(panels(drawn(PartName.COVER, wanted))["cover"], "outer")[0])
    left, _, right, _ = lid.bounds
    assert shapely.hausdorff_distance(shapely.Point(0.0, 0.0), a) < (right - left) / 2.0 - 2.0


@pytest.mark.parametrize("sensor", SensorKind)
def test_measures_of_another_module_move_its_screw(sensor: SensorKind) -> None:
    usual, other = (
        make_part(PartName.BRACKET, measures(sensor, **given), None).panels[-1].holes
        for given in ({}, {"module_hole_mm": MODULES[sensor].hole_from_beam_mm + 4.0})
    )
    moved = [
        hypot(b.centroid.x - a.centroid.x, b.centroid.y - a.centroid.y)
        for a, b in zip((h.area() for h in usual), (h.area() for h in other), strict=True)
    ]
    assert 4.0 in [pytest.approx(way) for way in moved]


def test_higher_beam_moves_the_foot_outwards() -> None:
    def foot_mm(wanted: Measures) -> float:
        (x0, y0), a, *_ = _middles(panels(drawn(PartName.BRACKET, wanted))["bracket"])
        return hypot(a[0] - x0, a[1] - y0)

    assert foot_mm(measures(beam_mm=10.5)) - foot_mm(measures()) == pytest.approx(1.5)


def test_hub_and_its_screws_fit_between_plate_and_disc() -> None:
    """A head of M3 is at most 3 mm high (ISO 4762, from memory)."""
    for thickness_mm in (1.0, 3.0, 4.0):
        free = PLATE_TO_DISC_MM - 1.5 * thickness_mm - 3.0
        assert free > 1.0


def test_reflective_sensors_look_at_the_pattern() -> None:
    wanted = measures(SensorKind.REFLECTIVE)
    (x0, y0), a, *_ = _middles(panels(drawn(PartName.BRACKET, wanted))["bracket"])
    assert hypot(a[0] - x0, a[1] - y0) == pytest.approx(wanted.disc().sensor_radius_mm)
    root = drawn(PartName.PATTERN, wanted, form=Form.PRINT)
    (ink,) = by_class(root, "ink")
    assert ink.attrib["d"].count("M") == 10


def test_pattern_for_a_cutter_has_its_fields_engraved() -> None:
    """Half of the ring is black, in whatever form it is drawn."""
    root = drawn(PartName.PATTERN, measures(SensorKind.REFLECTIVE))
    fields = by_class(root, "ink")
    assert sum(area(field).area for field in fields) == pytest.approx(
        pi * (28.0**2 - 22.0**2) / 2.0, rel=1e-3
    )
    assert {field.attrib["fill"] for field in fields} == {"#000000"}


def test_hall_switch_looks_at_the_magnets() -> None:
    wanted = measures(SensorKind.HALL)
    (x0, y0), a, *_ = _middles(panels(drawn(PartName.BRACKET, wanted))["bracket"])
    (x1, y1), *_, magnet = _middles(panels(drawn(PartName.DISC, wanted))["magnet disc"])
    assert hypot(a[0] - x0, a[1] - y0) == pytest.approx(
        hypot(magnet[0] - x1, magnet[1] - y1), abs=1e-3
    )


def test_drum_has_the_tiers_of_the_car_file_and_room_for_their_string() -> None:
    root = drawn(PartName.DRUM)
    for tier in CAR.drum:
        discs = [e for e in by_class(root, "panel") if f"tier {tier.name}" in e.attrib["data-name"]]
        width = 3.0 * len(discs)
        assert width >= tier.turns * CAR.string_diameter_m * 1e3
        for disc in discs:
            left, top, right, bottom = area(by_class(disc, "outer")[0]).bounds
            asked = 2e3 * tier.radius_m - CAR.string_diameter_m * 1e3
            assert right - left == pytest.approx(asked, abs=1e-3)
            assert bottom - top == pytest.approx(asked, abs=0.2)  # the notch takes the top
    assert len([e for e in by_class(root, "panel") if "notch" in e.attrib["data-name"]]) == 1


def test_wheel_leaves_room_for_its_tyre() -> None:
    root = drawn(PartName.WHEEL, measures(tyre_mm=3.0))
    for wheel in CAR.wheels:
        groups = [e for e in by_class(root, "panel") if e.get("data-name") == f"wheel {wheel.name}"]
        assert len(groups) == wheel.count
        left, _, right, _ = area(by_class(groups[0], "outer")[0]).bounds
        assert right - left + 6.0 == pytest.approx(2e3 * wheel.radius_m, abs=1e-3)


def test_each_driven_wheel_has_a_ring_with_its_holes() -> None:
    root = drawn(PartName.WHEEL)
    for wheel in CAR.wheels:
        rings = [
            e
            for e in by_class(root, "panel")
            if e.get("data-name") == f"ring on wheel {wheel.name}"
        ]
        assert len(rings) == (wheel.count if wheel.driven else 0)
        for ring in rings:
            assert _around(ring) == pytest.approx(
                _around(panels(root)[f"wheel {wheel.name}"]), abs=2e-3
            )


@pytest.mark.parametrize("board", BOARDS)
def test_tray_is_larger_than_its_board_and_holds_it(board: str) -> None:
    wanted = measures()
    tray = make_part(PartName.TRAY, type(wanted)(10, 60.0, 4.0, board=board), None).panels[0]
    shape = BOARDS[board]
    left, top, right, bottom = tray.outer.area().bounds
    assert right - left > shape.length_mm
    assert bottom - top > shape.width_mm
    assert len(tray.holes) == 4 + (len(shape.holes) or 4)


def test_cover_clears_the_sensors() -> None:
    lid = area(by_class(panels(drawn(PartName.COVER))["cover"], "outer")[0])
    bracket = panels(drawn(PartName.BRACKET))["bracket"]
    (x0, y0), a, *_ = _middles(bracket)
    left, _, right, _ = lid.bounds
    assert (right - left) / 2.0 > hypot(a[0] - x0, a[1] - y0) + 1.5


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        (PartName.DISC, {"shaft_mm": 20.0}),
        (PartName.DISC, {"disc_mm": 30.0}),
        (PartName.DISC, {"disc_mm": float("nan")}),
        (PartName.BRACKET, {"rim_mm": 6.0}),
        (PartName.BRACKET, {"thickness_mm": 4.5}),
        (PartName.BRACKET, {"gap_mm": 3.5}),
        (PartName.BRACKET, {"module_hole_mm": 0.0}),
        (PartName.DRUM, {"shaft_mm": 8.0}),
        (PartName.HUB, {"press_mm": -1.0}),
        (PartName.WHEEL, {"tyre_mm": 61.0}),
    ],
)
def test_what_cannot_be_made_is_refused(name: PartName, wrong: dict[str, float]) -> None:
    with pytest.raises(InputError) as refused:
        make_part(name, measures(**wrong), CAR)
    assert refused.value.faults


def test_no_pattern_for_magnets() -> None:
    with pytest.raises(InputError, match="disc"):
        make_part(PartName.PATTERN, measures(SensorKind.HALL), None)


def test_slot_finer_than_the_kerf_is_refused() -> None:
    with pytest.raises(InputError, match="kerf"):
        drawn(PartName.DISC, kerf_mm=7.0)
