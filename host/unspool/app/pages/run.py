"""One run after the run: what stands out first, then pictures, then every number."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.parts import Cells, extra, picture, table, when, winding_text
from unspool.app.shelf import Subject, Told
from unspool.events.types import Finding, Reading
from unspool.model.outcome import Event, EventKind
from unspool.pictures import energy_picture, speed_picture, stretches_picture
from unspool.pictures.frame import event_word
from unspool.pictures.stretches import stretch_word
from unspool.pictures.units import quantity, signed, with_sd
from unspool.store import StoredRun

EVENT_HEAD = ("event", "where", "expected", "speed", "after")
STRETCH_HEAD = ("stretch", "from", "to", "acceleration")
COMPARE_HEAD = ("", "measured", "expected", "difference")


def run_page(told: Told) -> Page:
    run, reading = told.subject.run, told.reading
    body = html.Article(
        [
            _head(told.subject),
            _figures(reading),
            _findings(reading.findings),
            _pictures(run.id, reading),
            _tables(reading),
            _edges_line(reading),
            _downloads(run, whole=True),
        ],
        className="run",
    )
    return Page(f"Run {run.id}, {reading.car}", body, place="runs")


def unread_page(run: StoredRun, why: str) -> Page:
    """A run that is in the store but cannot be read: its edges can still be had."""
    body = html.Article(
        [
            html.H1(f"Run {run.id}"),
            html.P(when(run.started_at), className="quiet"),
            html.P(why, className="finding warning"),
            _downloads(run, whole=False),
        ],
        className="run",
    )
    return Page(f"Run {run.id}", body, place="runs")


def _head(subject: Subject) -> html.Header:
    run, car = subject.run, subject.car
    counted = "counted" if subject.counted else "as the car file plans"
    lines: list[Component] = [
        html.P(f"{when(run.started_at)}, from {run.source}", className="quiet"),
        html.P(f"Wound {winding_text(subject.wound)} ({counted})."),
    ]
    if run.note:
        lines.append(html.P(run.note, className="note"))
    return html.Header([html.H1(f"Run {run.id}: {car.name}"), *lines])


def _figures(reading: Reading) -> html.Section:
    figures = [
        ("distance", quantity(reading.distance_m, "m")),
        ("top speed", quantity(reading.peak_speed_m_s, "m/s")),
        ("duration", quantity(reading.duration_s, "s", 1)),
    ]
    if reading.furthest_m > reading.distance_m:
        figures.insert(1, ("furthest", quantity(reading.furthest_m, "m")))
    return html.Section(
        [
            html.Div([html.Span(name, className="label"), html.Span(text, className="value")])
            for name, text in figures
        ],
        className="figures",
        **extra(aria_label="The run in figures"),
    )


def _findings(findings: tuple[Finding, ...]) -> html.Section:
    if not findings:
        return html.Section([html.H2("What stands out"), html.P("Nothing odd was found.")])
    first = sorted(findings, key=lambda f: f.severity != "warning")
    return html.Section(
        [
            html.H2("What stands out"),
            html.Ul([_finding(f) for f in first], className="findings"),
        ]
    )


def _finding(finding: Finding) -> html.Li:
    """The kind is in words too: colour alone says nothing."""
    kind = "warning" if finding.severity == "warning" else "note"
    return html.Li(
        [html.Strong(f"{kind.capitalize()}: "), finding.text], className=f"finding {kind}"
    )


def _pictures(run_id: str, reading: Reading) -> html.Section:
    name = f"unspool-run-{run_id}"
    return html.Section(
        [
            html.H2("Pictures"),
            picture(
                speed_picture(reading),
                "Speed along the run. Solid: measured. Dashed: what the model expected of this "
                "winding. Lines mark the events found, diamonds where they were expected.",
                f"{name}-speed",
                "picture-speed",
            ),
            picture(
                stretches_picture(reading),
                "Speed squared is straight while one force drives; its kinks are the events. "
                "The steeper, the harder the pull.",
                f"{name}-stretches",
                "picture-stretches",
            ),
            picture(
                energy_picture(reading.energy),
                "Where the energy of the lifted weight went.",
                f"{name}-energy",
                "picture-energy",
            ),
        ],
        className="pictures",
    )


def _tables(reading: Reading) -> html.Section:
    sheets = [
        table("Events", EVENT_HEAD, [_event(e, reading) for e in reading.events]),
        table("Stretches", STRETCH_HEAD, _stretches(reading)),
        table("Measured and expected", COMPARE_HEAD, _compared(reading)),
    ]
    return html.Section([html.H2("Numbers"), *sheets])


def _event(event: Event, reading: Reading) -> Cells:
    return (
        event_word(event),
        with_sd(event.distance_m, event.distance_sd_m, "m"),
        quantity(_expected_m(event, reading), "m"),
        quantity(event.speed_m_s, "m/s"),
        quantity(event.time_s - reading.motion.launch_s, "s"),
    )


def _expected_m(event: Event, reading: Reading) -> float | None:
    """Where the model puts the event; the launch is at 0 and the stop at its distance."""
    if event.kind is EventKind.LAUNCH:
        return 0.0
    if event.kind is EventKind.STOP:
        return reading.prediction.distance_m
    return event.expected_distance_m


def _stretches(reading: Reading) -> list[Cells]:
    return [
        (
            stretch_word(s),
            quantity(s.from_m, "m"),
            quantity(s.to_m, "m"),
            with_sd(s.acceleration_m_s2, s.acceleration_sd, "m/s²", 3),
        )
        for s in reading.stretches
    ]


def _compared(reading: Reading) -> list[Cells]:
    expected = reading.prediction
    rows = [
        ("distance", reading.distance_m, expected.distance_m, "m"),
        ("top speed", reading.peak_speed_m_s, expected.peak_speed_m_s, "m/s"),
        ("top speed at", reading.peak_at_m, expected.peak_at_m, "m"),
        ("duration", reading.duration_s, expected.duration_s, "s"),
    ]
    return [
        (name, quantity(got, unit), quantity(model, unit), signed(got - model, unit))
        for name, got, model, unit in rows
    ]


def _edges_line(reading: Reading) -> html.P:
    motion = reading.motion
    return html.P(
        f"Edges: {len(motion.train)} recorded, {len(motion.used)} used, "
        f"{motion.ignored} ignored, {motion.missing} missing.",
        className="quiet",
    )


def _downloads(run: StoredRun, *, whole: bool) -> html.Section:
    links = [html.A("Edges (CSV)", href=f"/runs/{run.id}/edges.csv", download="")]
    if whole:
        links.append(html.A("Reading (JSON)", href=f"/runs/{run.id}/reading.json", download=""))
    return html.Section(
        [
            html.H2("Take away"),
            html.P(links, className="downloads"),
            html.P(dcc.Link("All runs", href="/runs")),
        ]
    )
