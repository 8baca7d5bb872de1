"""A car from its side, to scale, as SVG: wheels, drum, tower, weight and string in millimetres.

The car goes to the right, and its driven axle is at x = 0. Heights are above the floor. What the
file leaves out has a place that looks usual, and no measure beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

from unspool.car import Car
from unspool.language import _, localised
from unspool.render.figures.svg import Box, circle, line, polygon, rectangle, svg, text

STEEL_KG_M3 = 7850.0  # the weight is drawn as a block of steel of its mass
DECK = 10.0  # thickness of the body's beam
SLIMNESS = 1.6  # height of the weight over its width
USUAL_PULLEY = 10.0  # radius, if the car has none
USUAL_WHEELBASE = 2.2  # diameters of the driven wheel
MARGIN = 0.1  # of the car's largest side, around it
ROOM_LEFT, ROOM_RIGHT = 0.4, 0.2  # of the same: for the drum, larger, and for the drop's measure
TEXT = 0.03  # of the picture's larger side
MOST_LABELLED = 4  # tiers: more have no room for their measures


@dataclass(frozen=True)
class _Layout:
    """Places in millimetres; radii too."""

    axles: tuple[tuple[float, float], ...]  # x and radius, the driven one first
    tower: float
    deck: float
    drop: float
    weight: tuple[float, float]  # width and height
    pulley: float
    drum: float

    @property
    def top(self) -> float:
        """Where the pulley's axle is."""
        return self.deck + self.drop + self.weight[1] + 3.0 * self.pulley

    @property
    def box(self) -> Box:
        left = min(x - r for x, r in self.axles)
        right = max(max(x + r for x, r in self.axles), self.tower + 0.5 * self.weight[0])
        return Box(left, 0.0, right, self.top + self.pulley)


def car_svg(car: Car) -> str:
    """The drawing, with the measures of the car beside its parts."""
    layout = _layout(car)
    size = max(layout.box.width, layout.box.height)
    box = layout.box.grown(MARGIN * size)
    left, right = box.left - ROOM_LEFT * size, box.right + ROOM_RIGHT * size
    view = Box(left, box.bottom, right, box.top)
    letters = TEXT * max(view.width, view.height)
    parts = [*_tower(layout), *_wheels(layout), *_drum(car, layout), *_weight(layout)]
    room = Box(left + letters, 0.5 * box.top, left + ROOM_LEFT * size, 0.75 * box.top)
    labels = [*_labels(car, layout, letters), *_tiers(car, room, letters)]
    return svg(view, letters, [*parts, *_balance(car, letters), *labels], describe(car))


def describe(car: Car) -> str:
    """The same in words, for those who do not see it."""
    return _(
        "{car} from its side, to scale. Wheels: {wheels}. Drum to the middle of the string: "
        "{tiers}. The weight of {mass} falls {drop}.",
        car=car.name,
        wheels=", ".join(f"{one.name} {_mm(2.0 * one.radius_m)}" for one in car.wheels),
        tiers=", ".join(f"{one.name} {_mm(2.0 * one.radius_m)}" for one in car.drum),
        mass=_grams(car),
        drop=_mm(car.drop_m),
    )


def _mm(length_m: float) -> str:
    return localised(f"{1e3 * length_m:.4g} mm")


def _grams(car: Car) -> str:
    return localised(f"{1e3 * car.weight_mass_kg:.4g} g")


def _layout(car: Car) -> _Layout:
    driven = 1e3 * car.driven_wheel.radius_m
    others = [1e3 * wheel.radius_m for wheel in car.wheels if not wheel.driven]
    geometry = car.geometry
    base = 1e3 * geometry.wheelbase_m if geometry else USUAL_WHEELBASE * 2.0 * driven
    behind = None
    if geometry is not None:
        weight, whole = geometry.weight_to_driven_axle_m, geometry.centre_of_mass_to_driven_axle_m
        behind = 1e3 * (whole if weight is None else weight)
    width = (1e9 * car.weight_mass_kg / STEEL_KG_M3 / SLIMNESS) ** (1.0 / 3.0)
    places = [base * (i + 1) / len(others) for i in range(len(others))]
    return _Layout(
        axles=((0.0, driven), *zip(places, others, strict=True)),
        tower=0.5 * base if behind is None else behind,
        deck=max(driven, *others, driven) + 0.5 * DECK,
        drop=1e3 * car.drop_m,
        weight=(width, SLIMNESS * width),
        pulley=1e3 * car.pulley.radius_m if car.pulley else USUAL_PULLEY,
        drum=1e3 * max(max(t.radius_m, t.end_radius_m) for t in car.drum),
    )


def _wheels(at: _Layout) -> Iterator[str]:
    for x, radius in at.axles:
        yield circle(x, radius, radius, "wheel")
        yield circle(x, radius, max(0.03 * radius, 1.0), "axle")
    first, last = at.axles[0], at.axles[-1]
    yield line(first[0], at.deck, max(last[0], at.tower), at.deck, "deck")
    for x, radius in at.axles:
        yield line(x, radius, x, at.deck, "strut")


def _drum(car: Car, at: _Layout) -> Iterator[str]:
    x, y = at.axles[0]
    for tier in sorted(car.drum, key=lambda one: -one.radius_m):
        yield circle(x, y, 1e3 * tier.radius_m, "tier")


def _tower(at: _Layout) -> Iterator[str]:
    apart = 0.5 * at.weight[0] + 6.0
    for side in (-1.0, 1.0):
        yield line(at.tower + side * apart, at.deck, at.tower + side * apart, at.top, "strut")
    yield circle(at.tower - at.pulley, at.top, at.pulley, "pulley")
    yield line(-at.drum, at.axles[0][1], at.tower - 2.0 * at.pulley, at.top, "string")


def _weight(at: _Layout) -> Iterator[str]:
    width, height = at.weight
    left = at.tower - 0.5 * width
    yield line(at.tower, at.deck + at.drop + height, at.tower, at.top, "string")
    yield rectangle(left, at.deck, width, height, "landed")
    yield rectangle(left, at.deck + at.drop, width, height, "weight")


def _balance(car: Car, letters: float) -> Iterator[str]:
    geometry = car.geometry
    if geometry is None:
        return
    x, y = (
        1e3 * one
        for one in (geometry.centre_of_mass_to_driven_axle_m, geometry.centre_of_mass_height_m)
    )
    for dx, dy in ((0.5, 0.0), (0.0, 0.5)):
        away = dx * letters, dy * letters
        yield line(x - away[0], y - away[1], x + away[0], y + away[1], "balance")
    yield circle(x, y, 0.35 * letters, "balance")


def _labels(car: Car, at: _Layout, letters: float) -> Iterator[str]:
    side = at.tower + 0.5 * at.weight[0] + 6.0 + 0.6 * letters
    yield line(side, at.deck, side, at.deck + at.drop, "measure")
    yield text(
        side + 0.3 * letters, at.deck + 0.5 * at.drop, _("drop {drop}", drop=_mm(1e-3 * at.drop))
    )
    yield text(side + 0.3 * letters, at.deck + at.drop + 0.3 * at.weight[1], _grams(car))
    driven, (x, radius) = car.driven_wheel, at.axles[0]
    yield text(x - radius, 2.0 * radius + 0.5 * letters, _rolled(driven.rolled_out, radius), "end")
    if car.geometry is not None:
        end = at.axles[-1][0]
        yield line(0.0, -0.5 * letters, end, -0.5 * letters, "measure")
        words = _("wheelbase {base}", base=_mm(car.geometry.wheelbase_m))
        yield text(0.5 * end, -1.8 * letters, words, "middle")


def _rolled(rolled_out: bool, radius: float) -> str:
    if rolled_out:
        return _("rolls {length}", length=_mm(2e-3 * pi * radius))
    return f"\u00f8 {_mm(2e-3 * radius)}"


def _tiers(car: Car, room: Box, letters: float) -> Iterator[str]:
    """The drum from above, larger, with the bare diameter and the turns of each tier."""
    bare = [
        [1e3 * (2.0 * radius - car.string_diameter_m) for radius in (t.radius_m, t.end_radius_m)]
        for t in car.drum
    ]
    width, scale = room.width / len(bare), room.height / max(max(pair) for pair in bare)
    middle = 0.5 * (room.bottom + room.top)
    labelled = len(bare) <= MOST_LABELLED
    for i, (tier, (first, last)) in enumerate(zip(car.drum, bare, strict=True)):
        x, h0, h1 = room.left + i * width, 0.5 * scale * first, 0.5 * scale * last
        corners = ((x, h0), (x + width, h1), (x + width, -h1), (x, -h0))
        yield polygon([(a, middle + b) for a, b in corners], "tier")
        if labelled:
            across, below = x + 0.5 * width, room.bottom - 1.3 * letters
            yield text(
                across, middle - 0.3 * letters, localised(f"\u00f8\u202f{first:.4g}"), "middle"
            )
            yield text(across, below, localised(f"{tier.turns:.4g}\u202f\u00d7"), "middle")
    yield text(room.left, room.top + 0.6 * letters, _("drum, larger (mm, turns)"))
