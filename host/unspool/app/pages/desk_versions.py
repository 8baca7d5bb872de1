"""The versions of a car or a floor: who saved which, what it changed, and the file of each."""

from __future__ import annotations

from urllib.parse import urlencode

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.desk import Desk
from unspool.app.parts import attributes, fold, local_time
from unspool.app.permissions import may_change
from unspool.render.words.versions import HOW, change_line
from unspool.shelved import Shelved, Version
from unspool.versions import changes_of

MOST_CHANGES = 12  # of one version, before the rest is only counted


def versions_part(desk: Desk, thing: Shelved) -> Component:
    """The newest first. Runs keep the version that they ran with."""
    changes = changes_of(thing)
    lines = []
    for version in reversed(thing.versions):
        words = [change_line(one) for one in changes[version.number]]
        if not words and version.number > 1:
            words = ["comments or order only"]
        lines.append(_line(desk, thing, version, words))
    count = len(thing.versions)
    return html.Section(
        [
            html.H2("Versions"),
            html.P(
                "Each attempt keeps the version that it ran with. A new one takes the current one.",
                className="quiet",
            ),
            html.Ol(lines[:5], className="versions"),
            *([fold(f"{count - 5} older", html.Ol(lines[5:]))] if count > 5 else []),
            *_away(desk, thing),
        ],
        className="plate",
        id="versions",
    )


def _line(desk: Desk, thing: Shelved, version: Version, changed: list[str]) -> html.Li:
    who = f" by {version.who}" if version.who and may_change.get() else ""
    runs = len(version.runs)
    ran = f", {runs} attempt{'s' * (runs != 1)}" if runs else ""
    current = ", current" if version == thing.current else ""
    head = f"Version {version.number}{current}"
    line = f"{local_time(version.made_at)}, {HOW[version.how]}{who}{ran}"
    more = [f"and {len(changed) - MOST_CHANGES} more"] if len(changed) > MOST_CHANGES else []
    query = urlencode({"name": thing.name, "version": version.number})
    links: list[Component] = [
        html.A("File (TOML)", href=f"{desk.path}:version?{query}", download=""),
        dcc.Link("See it", href=f"{desk.address(thing.name)}?version={version.number}"),
    ]
    if may_change.get() and version != thing.current:
        choose = attributes(
            data_desk="choose", data_name=thing.name, data_version=str(version.number)
        )
        words = f"Use version {version.number} again"
        links.append(html.Button(words, type="button", className="second", **choose))
    parts = [html.Strong(head), html.Span(line, className="quiet")]
    if changed:
        parts.append(html.Ul([html.Li(one) for one in [*changed[:MOST_CHANGES], *more]]))
    return html.Li([*parts, html.Span(links, className="links")])


def _away(desk: Desk, thing: Shelved) -> list[Component]:
    if not may_change.get() or thing.away:
        return []
    away = attributes(data_desk="put-away", data_name=thing.name)
    words = f"Put this {desk.noun} away"
    return [
        html.P(
            [
                html.Button(words, type="button", className="second", **away),
                html.Span("It is offered no more. Nothing is deleted.", className="quiet"),
            ],
            className="links",
        )
    ]
