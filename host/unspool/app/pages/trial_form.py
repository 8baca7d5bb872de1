"""Sliders that try other sizes and turns; the script in assets/trial.js asks for each run."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, pi
from typing import Any

from dash import dcc, html

from unspool.app.parts import attributes, picture
from unspool.app.query import Query, address
from unspool.app.trials import PATH, TIER, TURNS
from unspool.car import Car, Tier
from unspool.render.figures.trial import trial_figure
from unspool.study.plan import Plan

LEAST, MOST = 0.5, 1.75  # shares of the present size
TURN_STEP = 0.25


@dataclass(frozen=True)
class Slider:
    name: str
    label: str
    unit: str
    value: float
    low: float
    high: float
    step: float


def trial_form(plan: Plan, query: Query) -> html.Section:
    """The planned run, and sliders that change it. They change nothing in the car's file."""
    fields: dict[str, Any] = {
        "run": query.ids("run"),
        "learn": query.ids("learn"),
        "planned_m": f"{plan.prediction.distance_m:.4f}",
        "page": f"{time.monotonic_ns():d}",
    }
    caption = "Solid: what you try. Dashed: as planned. The bar is where it should stop."
    return html.Section(
        [
            html.H2("Try other sizes and turns"),
            html.P("Nothing is written anywhere: move a slider and look.", className="quiet"),
            html.Div([_slider(one) for one in _sliders(plan.car)], className="sliders"),
            html.P("", className="said", role="status", **attributes(data_said="")),
            html.Ul([], className="findings", **attributes(data_against="")),
            html.Div(
                picture(trial_figure(plan.prediction), caption, "trial", (plan.car.name, "trial")),
            ),
        ],
        className="trial",
        **attributes(data_trial=address(PATH, fields)),
    )


def _sliders(car: Car) -> Iterator[Slider]:
    yield _sized("weight_g", "Weight", "g", 1e3 * car.weight_mass_kg, 5.0)
    yield _sized("wheel_mm", "Driven wheels", "mm", 2e3 * car.driven_wheel.radius_m, 1.0)
    for tier in car.drum:
        if not tier.tapered:
            across = 1e3 * (2.0 * tier.radius_m - car.string_diameter_m)
            yield _sized(f"{TIER}{tier.name}", f"Tier {tier.name}", "mm", across, 0.5)
    for tier in reversed(car.drum):
        yield _turns(car, tier)


def _sized(name: str, label: str, unit: str, value: float, step: float) -> Slider:
    """The present value is one of the steps, so that an untouched slider tries nothing else."""
    below, above = floor((1.0 - LEAST) * value / step), ceil((MOST - 1.0) * value / step)
    return Slider(name, label, unit, value, value - below * step, value + above * step, step)


def _turns(car: Car, tier: Tier) -> Slider:
    """Up to as many turns as the drop unwinds from this tier alone."""
    most = ceil(car.drop_m / (2.0 * pi * tier.radius_m) / TURN_STEP) * TURN_STEP
    label = f"Turns on {tier.name}"
    return Slider(f"{TURNS}{tier.name}", label, "", tier.turns, 0.0, most, TURN_STEP)


def _slider(one: Slider) -> html.Label:
    box: dict[str, Any] = {"type": "range", "min": one.low, "max": one.high, "step": one.step}
    return html.Label(
        [
            html.Span(one.label, className="name"),
            html.Span(f"{one.value:.4g}", className="value"),
            html.Span(one.unit, className="unit"),
            dcc.Input(id={"trial": one.name}, name=one.name, value=one.value, **box),
        ]
    )
