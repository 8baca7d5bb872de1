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
from unspool.app.run_cache import ListedRun, RunCache
from unspool.app.studies import Studies
from unspool.finding import Severity
from unspool.language import _, later, many, translated
from unspool.render.figures.calibration import modelled_figure
from unspool.render.toml.losses import losses_toml
from unspool.render.words.energy_shares import headline
from unspool.render.words.findings import sentence
from unspool.render.words.losses import RUN_HEAD, TERM_HEAD, run_cells, term_rows
from unspool.render.words.units import quantity
from unspool.study.calibration import Calibration

TITLE, PLACE, PATH = later("Losses"), "losses", "/losses"


def losses_page(query: Query, studies: Studies) -> Page:
    entries = studies.runs.choices(SHOWN)
    if not entries:
        return nothing_yet(_(TITLE), PLACE)
    runs = query.ids() or at_hand(entries)
    study = StudyPage(
        _(TITLE),
        PLACE,
        lambda opened: _form(studies.runs, entries, runs, opened=opened),
        studies.runs.store,
    )
    if not runs:
        return study.form_alone()
    return study.of(lambda: studies.calibration(runs), lambda result: _result(result, runs))


def _form(
    cache: RunCache, entries: Sequence[ListedRun], runs: tuple[str, ...], *, opened: bool
) -> Component:
    boxes = run_boxes(cache, entries, runs, _("Choose attempts of one car"))
    return fold(_("Choose other attempts"), form(PATH, [boxes], _("Calibrate")), opened=opened)


def _result(calibration: Calibration, runs: tuple[str, ...]) -> list[Component]:
    car = calibration.car
    rows = [tuple(cell or _("none") for cell in run_cells(run)) for run in calibration.runs]
    terms, count = term_rows(calibration), len(calibration.runs)
    return [
        answer(headline(calibration)),
        table(
            many(
                "Losses of {car}, from {count} attempt",
                "Losses of {car}, from {count} attempts",
                count,
                car=car.name,
            ),
            translated(TERM_HEAD),
            terms,
            "prose",
        ),
        *(html.P(sentence(both)) for both in calibration.together),
        _advice(calibration),
        _use(calibration, runs),
        html.Section(
            [
                html.H2(_("Modelled and measured")),
                picture(
                    modelled_figure(calibration),
                    _misses(calibration),
                    later("modelled"),
                    (car.name, f"losses of {count} runs"),
                ),
                table(_("Each attempt"), translated(RUN_HEAD), rows),
            ],
            className="pictures one",
        ),
    ]


def _advice(calibration: Calibration) -> Component:
    kinds = {Severity.WARNING: "finding warning", Severity.NOTE: "finding"}
    items = [html.Li(sentence(f), className=kinds[f.severity]) for f in calibration.findings]
    return html.Ul(items, className="findings")


def _misses(calibration: Calibration) -> str:
    if calibration.residual_sd_m is None:
        return _("One attempt is no test of the model, which was fitted to it.")
    return _(
        "Measured and modelled distances differ by {distance}. The resistance differs by about "
        "{share} from attempt to attempt.",
        distance=quantity(calibration.residual_sd_m, "m"),
        share=quantity(100.0 * calibration.scatter, "%", 1),
    )


def _use(calibration: Calibration, runs: tuple[str, ...]) -> Component:
    plan = address("/next-winding", {"goal": "farthest", "run": runs[0], "learn": runs})
    lines = address("/losses.toml", {"run": runs})
    return html.Section(
        [
            html.H2(_("Use these losses")),
            html.P(
                [
                    button(
                        _("Write them into {car}", car=calibration.car.name),
                        data_send=address(WRITE, {"run": runs}),
                    ),
                    html.Span("", role="status", **attributes(data_sent="")),
                ],
                className="sending",
            ),
            html.P(
                [
                    html.A(_("Lines (TOML)"), href=lines, download=""),
                    dcc.Link(_("Plan with these losses"), href=plan),
                ],
                className="downloads",
            ),
            fold(_("The lines for a car file"), _lines(calibration)),
        ]
    )


def _lines(calibration: Calibration) -> Component:
    return html.Div(
        [
            html.Pre(losses_toml(calibration), id="losses-toml", tabIndex="0"),
            html.Button(_("Copy the lines"), type="button", **attributes(data_copy="losses-toml")),
            html.Span("", role="status", **attributes(data_copied="")),
        ],
        className="paste",
    )
