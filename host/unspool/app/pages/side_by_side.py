"""Side by side: groups of runs over each other, and whether they differ by more than chance."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, form, one_of, run_boxes
from unspool.app.pages.study_frame import StudyPage
from unspool.app.parts import picture, table
from unspool.app.query import Query, address
from unspool.app.studies import Studies
from unspool.render.figures.comparison import overlay_figure, spread_figure
from unspool.render.words.comparison import (
    SURE,
    difference_sentence,
    mean_words,
    quantity_name,
    repeat_words,
    shown_quantities,
    versus,
)
from unspool.render.words.findings import sentence
from unspool.study.compare import ASPECTS, Comparison, Difference, Distinction, Group

TITLE, PLACE, PATH = "Side by side", "side-by-side", "/side-by-side"
PICTURED = {"distance_m": "distance", "peak_speed_m_s": "top-speed"}


def side_by_side_page(query: Query, studies: Studies) -> Page:
    runs, by = query.ids(), query.one_of("by", ASPECTS) or ASPECTS[0]
    study = StudyPage(TITLE, PLACE, lambda: _form(studies, runs, by))
    if len(runs) < 2:
        return study.form_alone()
    csv = address(f"{PATH}.csv", {"run": runs, "by": by})
    return study.of(lambda: studies.comparison(runs, by), lambda result: _result(result, csv))


def _form(studies: Studies, runs: tuple[str, ...], by: str) -> Component:
    entries = studies.runs.choices(SHOWN)
    return form(
        PATH,
        [
            html.H2("Which runs"),
            run_boxes(entries, runs, "Choose two or more"),
            one_of("by", "Groups by", [(aspect, aspect) for aspect in ASPECTS], by),
        ],
        "Compare",
    )


def _result(comparison: Comparison, csv: str) -> list[Component]:
    return [
        *[_versus(pair.heading, pair.differences) for pair in versus(comparison)],
        _cautions(comparison),
        _pictures(comparison),
        html.Section([html.H2("Numbers"), *_tables(comparison)]),
        html.P(html.A("Table (CSV)", href=csv, download=""), className="downloads"),
    ]


def _versus(heading: str, differences: tuple[Difference, ...]) -> Component:
    items = html.Ul([_difference(d) for d in differences], className="findings")
    return html.Section([html.H2(heading), items])


def _difference(difference: Difference) -> html.Li:
    """The severity is a word too, because colour alone says nothing."""
    different = difference.verdict is Distinction.DIFFERENT
    text = difference_sentence(difference)
    if different:
        return html.Li([html.Strong("Different. "), text], className="finding")
    return html.Li(text, className="finding plain")


def _cautions(comparison: Comparison) -> Component:
    left = [f"Left out: {one.run}. {sentence(one.why)}" for one in comparison.left_out]
    texts = [*left, *(sentence(caution) for caution in comparison.cautions)]
    items = [
        html.Li([html.Strong("Caution: "), text], className="finding warning") for text in texts
    ]
    return html.Ul(items, className="findings")


def _pictures(comparison: Comparison) -> Component:
    runs = [run for group in comparison.groups for run in group.runs]
    cars = {run.car.name for run in runs}
    of = (cars.pop() if len(cars) == 1 else f"{len(cars)} cars", f"{len(runs)} runs")
    spreads = [
        picture(
            spread_figure(comparison, key),
            "Each mark is a run. The bar below is the group's mean with its 95 % interval, if "
            "there are enough runs for one.",
            what,
            of,
        )
        for key, what in PICTURED.items()
    ]
    overlay = picture(
        overlay_figure(comparison),
        "Speed along each run. Groups differ in colour and in dashes.",
        "speeds",
        of,
    )
    return html.Section([html.H2("Pictures"), overlay, *spreads], className="pictures")


def _tables(comparison: Comparison) -> list[Component]:
    return [_table(group, comparison) for group in comparison.groups]


def _table(group: Group, comparison: Comparison) -> Component:
    names = ", ".join(run.name for run in group.runs)
    rows = [
        (quantity_name(q), mean_words(group.summary(q.key)), repeat_words(group.summary(q.key)))
        for q in shown_quantities(comparison)
    ]
    head = ("", f"mean ({SURE})", "two runs differ by less than")
    return table(f"{group.name}: {names}", head, rows)
