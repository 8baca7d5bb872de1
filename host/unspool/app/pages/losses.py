"""Losses: a calibration from chosen runs, and which run would improve it."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.losses_writing import PATH as WRITE
from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, at_hand, form, run_boxes
from unspool.app.pages.study_frame import StudyPage, nothing_yet
from unspool.app.parts import answer, attributes, button, fold, picture, table
from unspool.app.query import Query, address
from unspool.app.run_cache import ListedRun
from unspool.app.studies import Studies
from unspool.render.figures.calibration import modelled_figure
from unspool.render.toml.losses import losses_toml
from unspool.render.words.energy_shares import headline
from unspool.render.words.findings import sentence
from unspool.render.words.losses import RUN_HEAD, TERM_HEAD, run_cells, term_rows
from unspool.render.words.units import quantity
from unspool.study.calibration import Calibration

TITLE, PLACE, PATH = "Losses", "losses", "/losses"


def losses_page(query: Query, studies: Studies) -> Page:
    entries = studies.runs.choices(SHOWN)
    if not entries:
        return nothing_yet(TITLE, PLACE)
    runs = query.ids() or at_hand(entries)
    study = StudyPage(
        TITLE, PLACE, lambda opened: _form(entries, runs, opened=opened), studies.runs.store
    )
    if not runs:
        return study.form_alone()
    return study.of(lambda: studies.calibration(runs), lambda result: _result(result, runs))


def _form(entries: Sequence[ListedRun], runs: tuple[str, ...], *, opened: bool) -> Component:
    boxes = run_boxes(entries, runs, "Choose attempts of one car")
    return fold("Choose other attempts", form(PATH, [boxes], "Calibrate"), opened=opened)


def _result(calibration: Calibration, runs: tuple[str, ...]) -> list[Component]:
    car = calibration.car
    rows = [tuple(cell or "none" for cell in run_cells(run)) for run in calibration.runs]
    terms = term_rows(calibration)
    return [
        answer(headline(calibration)),
        table(f"Losses of {car.name}, from {len(calibration.runs)} attempts", TERM_HEAD, terms),
        *(html.P(sentence(both)) for both in calibration.together),
        _advice(calibration),
        _use(calibration, runs),
        html.Section(
            [
                html.H2("Modelled and measured"),
                picture(
                    modelled_figure(calibration),
                    _misses(calibration),
                    "modelled",
                    (car.name, f"losses of {len(calibration.runs)} runs"),
                ),
                table("Each attempt", RUN_HEAD, rows),
            ],
            className="pictures one",
        ),
    ]


def _advice(calibration: Calibration) -> Component:
    items = [html.Li(sentence(f), className="finding") for f in calibration.findings]
    return html.Ul(items, className="findings")


def _misses(calibration: Calibration) -> str:
    if calibration.residual_sd_m is None:
        return "One attempt is no test of the model, which was fitted to it."
    return (
        f"Measured and modelled distances differ by {quantity(calibration.residual_sd_m, 'm')}. "
        f"The resistance differs by about {quantity(100.0 * calibration.scatter, '%', 1)} from "
        "attempt to attempt."
    )


def _use(calibration: Calibration, runs: tuple[str, ...]) -> Component:
    plan = address("/next-winding", {"goal": "farthest", "run": runs[0], "learn": runs})
    lines = address("/losses.toml", {"run": runs})
    return html.Section(
        [
            html.H2("Use these losses"),
            html.P(
                [
                    button(
                        f"Write them into {calibration.car.name}",
                        data_send=address(WRITE, {"run": runs}),
                    ),
                    html.Span("", role="status", **attributes(data_sent="")),
                ],
                className="sending",
            ),
            html.P(
                [
                    html.A("Lines (TOML)", href=lines, download=""),
                    dcc.Link("Plan with these losses", href=plan),
                ],
                className="downloads",
            ),
            fold("The lines for a car file", _lines(calibration)),
        ]
    )


def _lines(calibration: Calibration) -> Component:
    return html.Div(
        [
            html.Pre(losses_toml(calibration), id="losses-toml", tabIndex="0"),
            html.Button("Copy the lines", type="button", **attributes(data_copy="losses-toml")),
            html.Span("", role="status", **attributes(data_copied="")),
        ],
        className="paste",
    )
