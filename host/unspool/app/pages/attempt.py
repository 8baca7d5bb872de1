"""One attempt: what stands out first, then pictures, then every number."""

from __future__ import annotations

import re
from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.attempt_media import media_part
from unspool.app.pages.correction_form import Correctable, correction_form
from unspool.app.pages.page import Page
from unspool.app.parts import (
    Tile,
    answer,
    fold,
    local_time,
    picture,
    table,
    tiles,
    winding_text,
)
from unspool.app.run_cache import AnalysedRun
from unspool.finding import Finding, Severity
from unspool.language import _, later, translated
from unspool.reading.events.types import Reading
from unspool.render.figures.gallery import CaptionedFigure, reading_figures
from unspool.render.words.attempt_result import TapedWheel, result_words, tape_words
from unspool.render.words.board import ENDINGS
from unspool.render.words.corrections import taped_words
from unspool.render.words.explained import explained
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
from unspool.store import StoredRun
from unspool.store.carried import CAPTURE, OF_ANOTHER
from unspool.study.measured_run import MeasuredRun
from unspool.turns import TurnsFrom

WOUND = {
    TurnsFrom.COUNTED: later("Wound {turns} (counted)."),
    TurnsFrom.SAID: later("Wound {turns} (as somebody said)."),
    TurnsFrom.PLANNED: later("Wound {turns} (as planned in the car file)."),
}

_RECORDED = re.compile(rf"{CAPTURE}[0-9]+(?:{OF_ANOTHER})?")

STANDS_OUT = later("What stands out")
KIND = {Severity.NOTE: later("Note:"), Severity.WARNING: later("Warning:")}


def attempt_page(analysed: AnalysedRun, correctable: Correctable, called: str) -> Page:
    """called: the attempt's name."""
    run, reading, measured = analysed.stored, analysed.reading, analysed.measured
    turns = measured.counted or tuple(tier.turns for tier in measured.car.drum)
    figures = _figures(reading)
    first, *others = reading_figures(reading)
    # A warning must be read before anything is believed; notes may wait.
    urgent = any(one.severity is Severity.WARNING for one in reading.findings)
    findings = _findings(reading.findings)
    body = html.Article(
        [
            _head(run, measured, called),
            answer(result_words(reading)),
            *([findings] if urgent else []),
            html.Section(
                [_drawn(first, reading, run.id), media_part(run.id, called, reading, figures)],
                className="pictures one",
            ),
            tiles(figures, _("The attempt in figures")),
            *([] if urgent else [findings]),
            *_taped(reading, run.taped_m, measured),
            *_folds(reading, run.id, others),
            correction_form(correctable, turns),
            _downloads(run, whole=True),
        ],
        className="run",
    )
    return Page(called, body, place="logbook")


def unread_page(correctable: Correctable, why: str, called: str) -> Page:
    """An attempt that cannot be read. Its edges can still be saved."""
    run = correctable.run
    body = html.Article(
        [
            html.H1(called),
            html.P(local_time(run.started_at), className="quiet"),
            html.P(why, className="finding warning"),
            correction_form(correctable),
            _downloads(run, whole=False),
        ],
        className="run",
    )
    return Page(called, body, place="logbook")


def _head(run: StoredRun, measured: MeasuredRun, called: str) -> html.Header:
    lines: list[Component] = [
        html.P(came_from(local_time(run.started_at), run.source), className="quiet"),
        html.P(_(WOUND[measured.turns_from], turns=winding_text(measured.wound))),
    ]
    if run.discarded:
        lines.append(html.P(_("Discarded: it counts for nothing."), className="note"))
    if run.ending in ENDINGS:
        lines.append(html.P(_(ENDINGS[run.ending]), className="note"))
    return html.Header([html.H1(called), *lines])


def came_from(when: str, source: str) -> str:
    """When it was, and the name of the file that brought it; a capture's number says nothing."""
    if _RECORDED.fullmatch(source):
        return _("{when}, recorded by a board", when=when)
    return _("{when}, from {source}", when=when, source=source)


def _figures(reading: Reading) -> tuple[Tile, ...]:
    expected = reading.prediction
    went = Tile(
        end_label(reading.motion),
        quantity(reading.distance_m, "m"),
        quantity(expected.distance_m, "m"),
        _("furthest {place}", place=quantity(reading.furthest_m, "m"))
        if reading.furthest_m > reading.distance_m
        else "",
    )
    fastest = Tile(
        _("top speed"),
        quantity(reading.peak_speed_m_s, "m/s"),
        quantity(expected.peak_speed_m_s, "m/s"),
    )
    lasted = Tile(
        _("duration"), quantity(reading.duration_s, "s", 1), quantity(expected.duration_s, "s", 1)
    )
    return went, fastest, lasted


def _taped(reading: Reading, taped_m: float | None, measured: MeasuredRun) -> list[html.Section]:
    """The tape beside the wheel, and what their difference means; nothing without a tape."""
    if taped_m is None:
        return []
    around_m = measured.car.metres_per_edge * measured.car.encoder.pulses_per_turn
    wheel = TapedWheel(around_m, measured.car.encoder_wheel.driven)
    return [
        html.Section(
            [
                html.H2(_("By the tape")),
                html.P(as_sentence(taped_words(taped_m, reading.distance_m))),
                html.P(tape_words(reading, taped_m, wheel)),
            ]
        )
    ]


def _findings(findings: tuple[Finding, ...]) -> html.Section:
    if not findings:
        return html.Section([html.H2(_(STANDS_OUT)), html.P(_("Nothing odd was found."))])
    return html.Section(
        [
            html.H2(_(STANDS_OUT)),
            html.Ul([_finding(f) for f in warnings_first(findings)], className="findings"),
        ]
    )


def _finding(finding: Finding) -> html.Li:
    """The severity is a word too, because colour alone says nothing."""
    kind = _(KIND[finding.severity])
    return html.Li(
        [html.Strong(f"{kind} "), sentence(finding)], className=f"finding {finding.severity}"
    )


def _drawn(one: CaptionedFigure, reading: Reading, run_id: str) -> html.Div:
    drawn = picture(one.figure, one.caption, one.name, (reading.car, f"run {run_id}"))
    return html.Div([drawn, fold(_("Why does it look like this?"), html.Dl(_why(one, reading)))])


def _why(one: CaptionedFigure, reading: Reading) -> list[Component]:
    """Questions of a class on the picture, each with its answer."""
    said = explained(one.name, reading)
    return [part for asked, answered in said for part in (html.Dt(asked), html.Dd(answered))]


def _folds(reading: Reading, run_id: str, others: Sequence[CaptionedFigure]) -> list[html.Details]:
    """What changes no decision at once. others: the pictures after the first."""
    energy = [_drawn(one, reading, run_id) for one in others if one.name == "energy"]
    more = [_drawn(one, reading, run_id) for one in others if one.name != "energy"]
    return [
        fold(_("Events"), table(_("Events"), translated(EVENT_HEAD), event_rows(reading))),
        fold(_("Energy"), *energy),
        fold(_("Other pictures"), *more),
        fold(
            _("Numbers"),
            table(_("Stretches"), translated(STRETCH_HEAD), stretch_rows(reading)),
            table(_("Measured and expected"), translated(COMPARE_HEAD), compared_rows(reading)),
            html.P(edges_line(reading), className="quiet"),
        ),
    ]


def _downloads(run: StoredRun, *, whole: bool) -> html.Section:
    links = [html.A(_("Edges (CSV)"), href=f"/attempts/{run.id}/edges.csv", download="")]
    if whole:
        links.append(
            html.A(_("Reading (JSON)"), href=f"/attempts/{run.id}/reading.json", download="")
        )
    return html.Section(
        [
            html.H2(_("Files")),
            html.P(links, className="downloads"),
            html.P(_onward(run.id) if whole else dcc.Link(_("All attempts"), href="/logbook")),
        ]
    )


def _onward(run_id: str) -> html.Span:
    """Links to pages that start from this run."""
    return html.Span(
        [
            dcc.Link(_("On one page, for a class"), href=f"/attempts/{run_id}/summary"),
            dcc.Link(_("Compare it"), href=f"/side-by-side?run={run_id}"),
            dcc.Link(_("Calibrate its losses"), href=f"/losses?run={run_id}"),
            dcc.Link(_("Plan the next winding"), href=f"/next-winding?run={run_id}"),
            dcc.Link(_("All attempts"), href="/logbook"),
        ],
        className="links",
    )
