"""What could be built: ranges of sizes to try, and the address that holds them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from dash import html
from dash.development.base_component import Component

from unspool.app.pages.run_choice import form
from unspool.app.pages.winding_form import goal_of, limits_of
from unspool.app.parts import Field, field
from unspool.app.permissions import may_change
from unspool.app.query import Query
from unspool.app.studies import SizesRequest, Studies
from unspool.car import Car
from unspool.errors import InputError
from unspool.language import _, localised
from unspool.study.sweep import Axis, Varied, axis_of, evenly, usual_steps
from unspool.typed import decimal

PATH = "/next-winding/sizes"
TIER = "vary_tier:"  # the tier's name follows
GUESTS_SETS = 400  # a guest's search is coarser, because the owner's recording is beside it
_RANGE = re.compile(r"\s*([0-9.,]+)\s*(?:to|bis|a|à|:|-|\u2013)\s*([0-9.,]+)\s*")


@dataclass(frozen=True)
class Ranged:
    """A size that can be varied; now: as the car has it, in its unit."""

    name: str
    label: str
    unit: str
    now: float
    what: Varied
    tier: str | None = None


def ranged(car: Car) -> Iterator[Ranged]:
    """Every size of the car that a range can be typed for."""
    yield Ranged("vary_weight", _("Weight"), "g", 1e3 * car.weight_mass_kg, Varied.WEIGHT)
    yield Ranged("vary_drop", _("Drop, as high as the tower"), "mm", 1e3 * car.drop_m, Varied.DROP)
    across = 2e3 * car.driven_wheel.radius_m
    yield Ranged("vary_wheel", _("Driven wheels"), "mm", across, Varied.DRIVEN_WHEELS)
    for tier in car.drum:
        bare = 1e3 * (2.0 * tier.radius_m - car.string_diameter_m)
        yield Ranged(
            f"{TIER}{tier.name}",
            _("Tier {tier}", tier=tier.name),
            "mm",
            bare,
            Varied.TIER,
            tier.name,
        )


def sizes_request(studies: Studies, query: Query) -> SizesRequest:
    """What the address asks for. Raises InputError if something is missing or is no range."""
    runs = query.ids()
    if len(runs) != 1:
        raise InputError(_("choose one attempt: the sizes are of its car"))
    car = studies.runs.measured(runs[0]).car
    asked = [(one, query.text(one.name)) for one in ranged(car) if query.text(one.name)]
    if not asked:
        raise InputError(_("type a range for one size or more, such as 500 to 900"))
    steps = _steps(len(asked))
    axes = tuple(_axis(one, text, steps) for one, text in asked)
    return SizesRequest(runs[0], query.ids("learn"), goal_of(query), limits_of(query), axes)


def _steps(sizes: int) -> int:
    return usual_steps(sizes) if may_change.get() else usual_steps(sizes, GUESTS_SETS)


def _axis(one: Ranged, text: str, steps: int) -> Axis:
    found = _RANGE.fullmatch(text)
    low, high = (decimal(found[1]), decimal(found[2])) if found else (None, None)
    if low is None or high is None or not 0.0 < low < high:
        raise InputError(
            _(
                '{size}: found "{typed}", expected two sizes in {unit}, the smaller first, such as '
                "500 to 900",
                size=one.label,
                typed=text,
                unit=one.unit,
            )
        )
    return axis_of(one.what, evenly(1e-3 * low, 1e-3 * high, steps), one.tier)


def sizes_form(studies: Studies, query: Query, more: list[Component]) -> Component:
    """A field for each size of the car, then `more`, and the button."""
    car = studies.runs.measured(query.ids()[0]).car
    fields = [_field(one, query.text(one.name)) for one in ranged(car)]
    how = html.P(
        _("Type a range for the sizes that you could still build. Each set is wound at its best.")
    )
    return form(PATH, [how, html.Div(fields, className="ranges"), *more], _("Try these sizes"))


def _field(one: Ranged, typed: str) -> html.Div:
    hint = _(
        "Now {now} {unit}: try {low} to {high}.",
        now=localised(f"{one.now:.4g}"),
        unit=one.unit,
        low=localised(f"{0.8 * one.now:.3g}"),
        high=localised(f"{1.2 * one.now:.3g}"),
    )
    return field(Field(one.name, one.label, typed, one.unit, hint, number=False))
