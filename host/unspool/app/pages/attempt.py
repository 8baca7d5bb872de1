"""One attempt: what stands out first, then pictures, then every number."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.correction_form import correction_form
from unspool.app.pages.note_form import note_form
from unspool.app.pages.page import Page
from unspool.app.parts import (
    attributes,
    local_time,
    picture,
    table,
    winding_text,
)
from unspool.app.run_cache import AnalysedRun
from unspool.finding import Finding
from unspool.reading.events.types import Reading
from unspool.render.figures.gallery import reading_figures
from unspool.render.words.board import ENDINGS
from unspool.render.words.findings import sentence, warnings_first
from unspool.render.words.result import end_label
from unspool.render.words.rows import (
    COMPARE_HEAD,
    EVENT_HEAD,
    STRETCH_HEAD,
    compared_rows,
    edges_line,
    event_rows,
    stretch_rows,
)
from unspool.render.words.units import quantity
from unspool.render.words.values import as_sentence
from unspool.store import Correction, StoredRun
from unspool.study.measured_run import MeasuredRun
from unspool.turns import TurnsFrom

TURNS_FROM = {
    TurnsFrom.COUNTED: "counted",
    TurnsFrom.SAID: "as somebody said",
    TurnsFrom.PLANNED: "as planned in the car file",
}
FIRST_PICTURES = 3  # the others are for a closer look


def attempt_page(analysed: AnalysedRun, history: Sequence[Correction]) -> Page:
    """history: what was said of the run, the oldest first."""
    run, reading, measured = analysed.stored, analysed.reading, analysed.measured
    turns = measured.counted or tuple(tier.turns for tier in measured.car.drum)
    body = html.Article(
        [
            _head(run, measured),
            _figures(reading, run.taped_m),
            _findings(reading.findings),
            _pictures(run.id, reading),
            _tables(reading),
            html.P(edges_line(reading), className="quiet"),
            note_form(run),
            correction_form(run, history, measured.car, turns),
            _downloads(run, whole=True),
        ],
        className="run",
    )
    return Page(f"Run {run.id}, {reading.car}", body, place="logbook")


def unread_page(run: StoredRun, history: Sequence[Correction], why: str) -> Page:
    """A run that cannot be read. Its edges can still be saved."""
    body = html.Article(
        [
            html.H1(f"Run {run.id}"),
            html.P(local_time(run.started_at), className="quiet"),
            html.P(as_sentence(why), className="finding warning"),
            note_form(run),
            correction_form(run, history, None, ()),
            _downloads(run, whole=False),
        ],
        className="run",
    )
    return Page(f"Run {run.id}", body, place="logbook")


def _head(run: StoredRun, measured: MeasuredRun) -> html.Header:
    lines: list[Component] = [
        html.P(f"{local_time(run.started_at)}, from {run.source}", className="quiet"),
        html.P(f"Wound {winding_text(measured.wound)} ({TURNS_FROM[measured.turns_from]})."),
    ]
    if run.discarded:
        lines.append(html.P("Discarded: it counts for nothing.", className="note"))
    if run.ending in ENDINGS:
        lines.append(html.P(ENDINGS[run.ending], className="note"))
    return html.Header([html.H1(f"Run {run.id}: {measured.car.name}"), *lines])


def _figures(reading: Reading, taped_m: float | None) -> html.Section:
    figures = [
        (end_label(reading.motion), quantity(reading.distance_m, "m")),
        ("top speed", quantity(reading.peak_speed_m_s, "m/s")),
        ("duration", quantity(reading.duration_s, "s", 1)),
    ]
    if taped_m is not None:
        figures.insert(1, ("by the tape", quantity(taped_m, "m", 3)))
    if reading.furthest_m > reading.distance_m:
        figures.insert(1, ("furthest", quantity(reading.furthest_m, "m")))
    return html.Section(
        [
            html.Div([html.Span(name, className="label"), html.Span(text, className="value")])
            for name, text in figures
        ],
        className="figures",
        **attributes(aria_label="The run in figures"),
    )


def _findings(findings: tuple[Finding, ...]) -> html.Section:
    if not findings:
        return html.Section([html.H2("What stands out"), html.P("Nothing odd was found.")])
    return html.Section(
        [
            html.H2("What stands out"),
            html.Ul([_finding(f) for f in warnings_first(findings)], className="findings"),
        ]
    )


def _finding(finding: Finding) -> html.Li:
    """The severity is a word too, because colour alone says nothing."""
    kind = str(finding.severity)
    return html.Li(
        [html.Strong(f"{kind.capitalize()}: "), sentence(finding)], className=f"finding {kind}"
    )


def _pictures(run_id: str, reading: Reading) -> html.Section:
    shown = [
        picture(one.figure, one.caption, one.name, (reading.car, f"run {run_id}"))
        for one in reading_figures(reading)
    ]
    first, more = shown[:FIRST_PICTURES], shown[FIRST_PICTURES:]
    details = html.Details([html.Summary("More pictures"), *more], className="more")
    return html.Section([html.H2("Pictures"), *first, details], className="pictures")


def _tables(reading: Reading) -> html.Section:
    sheets = [
        table("Events", EVENT_HEAD, event_rows(reading)),
        table("Stretches", STRETCH_HEAD, stretch_rows(reading)),
        table("Measured and expected", COMPARE_HEAD, compared_rows(reading)),
    ]
    return html.Section([html.H2("Numbers"), *sheets])


def _downloads(run: StoredRun, *, whole: bool) -> html.Section:
    links = [html.A("Edges (CSV)", href=f"/attempts/{run.id}/edges.csv", download="")]
    if whole:
        links.append(html.A("Reading (JSON)", href=f"/attempts/{run.id}/reading.json", download=""))
    return html.Section(
        [
            html.H2("Files"),
            html.P(links, className="downloads"),
            html.P(_onward(run.id) if whole else dcc.Link("All runs", href="/logbook")),
        ]
    )


def _onward(run_id: str) -> html.Span:
    """Links to pages that start from this run."""
    return html.Span(
        [
            dcc.Link("Compare it", href=f"/side-by-side?run={run_id}"),
            dcc.Link("Calibrate its losses", href=f"/losses?run={run_id}"),
            dcc.Link("Plan the next winding", href=f"/next-winding?run={run_id}"),
            dcc.Link("All runs", href="/logbook"),
        ],
        className="links",
    )
