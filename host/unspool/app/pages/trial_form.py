"""Sliders that try other sizes and turns; the script in assets/trial.js asks for each run."""

from __future__ import annotations

import time
from typing import Any

import plotly.graph_objects as go
from dash import dcc, html

from unspool.app.parts import attributes, save_buttons
from unspool.app.query import Query, address
from unspool.app.trials import PATH, TIER, TURNS
from unspool.language import _, later, localised
from unspool.render.figures.reading_units import for_reader
from unspool.render.figures.trial import trial_figure
from unspool.render.html.saving import picture_config
from unspool.render.words.reach import reach_words, shown, span_name, span_unit
from unspool.render.words.reading_units import ReadingUnits, reading_in
from unspool.render.words.units import unit_word
from unspool.study.plan import Plan
from unspool.study.plan.reach import Reach, Size, Span

CAPTION = later("Solid: what you try. Dashed: as planned. The bar is where it should stop.")
SCALE = later(
    "Below each slider: the band is nearly as good as the best, within 1 %, if all else stays. "
    "The mark is the best."
)


def trial_form(plan: Plan, query: Query) -> html.Section:
    """The planned run, and sliders that change it. They change nothing in the car's file."""
    fields: dict[str, Any] = {
        "run": query.ids("run"),
        "learn": query.ids("learn"),
        "planned_m": f"{plan.prediction.distance_m:.4f}",
        "page": f"{time.monotonic_ns():d}",
    }
    return html.Section(
        [
            html.H2(_("Try other sizes and turns")),
            html.P([_("Nothing is written anywhere: move a slider and look."), " ", _(SCALE)]),
            html.Figure(
                [
                    _picture(plan),
                    html.Div([_slider(one) for one in plan.reaches], className="sliders"),
                    html.Ul([], className="findings", **attributes(data_against="")),
                    html.Figcaption(_(CAPTION)),
                    save_buttons(later("trial"), (plan.car.name, "trial")),
                ]
            ),
        ],
        className="trial",
        **attributes(data_trial=address(PATH, fields)),
    )


def _picture(plan: Plan) -> html.Div:
    """What stays in view while a slider is moved. Its height is the style sheet's."""
    figure = for_reader(trial_figure(plan.prediction)).update_layout(height=None)
    return html.Div(
        [
            html.P("", className="said", role="status", **attributes(data_said="")),
            html.Div(_graph(figure), className="drawn-here"),
        ],
        className="in-view",
    )


def _graph(figure: go.Figure) -> dcc.Graph:
    whole = {"height": "100%"}
    return dcc.Graph(
        id="picture-trial", figure=figure, responsive=True, config=picture_config(), style=whole
    )


def _slider(reach: Reach) -> html.Label:
    span = reach.span
    low, high, step = (_rounded(shown(span, x)) for x in (span.low, span.high, span.step))
    box: dict[str, Any] = {"type": "range", "min": low, "max": high, "step": step}
    value = _rounded(shown(span, span.value))
    name = _name(span)
    with reading_in(ReadingUnits.METRIC):  # as the slider beside it, which is a field
        words = reach_words(reach)
    return html.Label(
        [
            html.Span(span_name(span), className="name"),
            html.Span(localised(f"{value:.4g}"), className="value"),
            html.Span(unit_word(span_unit(span)), className="unit"),
            dcc.Input(id={"trial": name}, name=name, value=value, **box),
            _scale(reach),
            html.Span(words, className="reach"),
        ]
    )


def _name(span: Span) -> str:
    if span.tier is None:
        return "weight_g" if span.what is Size.WEIGHT else "wheel_mm"
    return f"{TIER if span.what is Size.TIER else TURNS}{span.tier}"


def _rounded(value: float) -> float:
    """Without the dust of binary fractions, so that the slider stands where the plan does."""
    return round(value, 6)


def _scale(reach: Reach) -> html.Span:
    """The band and the mark, in shares of the slider's way."""
    span, marks = reach.span, (reach.low, reach.high, reach.best)
    whole = span.high - span.low or 1.0
    shares = {
        f"--{name}": f"{(at - span.low) / whole:.4f}"
        for name, at in zip(("low", "high", "best"), marks, strict=True)
        if at is not None
    }
    return html.Span(
        [html.Span(className="band"), html.Span(className="best-here")] if shares else [],
        className="scale",
        style=shares,
        **attributes(aria_hidden="true"),
    )
