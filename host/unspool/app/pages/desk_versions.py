"""The versions of a car or a floor: who saved which, what it changed, and the file of each."""

from __future__ import annotations

from urllib.parse import urlencode

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.desk import Desk
from unspool.app.parts import attributes, fold, local_time
from unspool.app.permissions import may_change
from unspool.language import _, many
from unspool.render.words.changes import change_words
from unspool.render.words.versions import ORDER_ONLY, how_words
from unspool.shelved import Shelved, Version
from unspool.versions import changes_of

MOST_CHANGES = 12  # of one version, before the rest is only counted


def versions_part(desk: Desk, thing: Shelved) -> Component:
    """The newest first. Runs keep the version that they ran with."""
    changes = changes_of(thing)
    lines = []
    for version in reversed(thing.versions):
        words = [change_words(one, desk.fields) for one in changes[version.number]]
        if not words and version.number > 1:
            words = [_(ORDER_ONLY)]
        lines.append(_line(desk, thing, version, words))
    count = len(thing.versions)
    return html.Section(
        [
            html.H2(_("Versions")),
            html.P(
                _(
                    "Each attempt keeps the version that it ran with. A new one takes the current "
                    "one."
                ),
                className="quiet",
            ),
            html.Ol(lines[:5], className="versions"),
            *([fold(_("{count} older", count=count - 5), html.Ol(lines[5:]))] if count > 5 else []),
            *_away(desk, thing),
        ],
        className="plate",
        id="versions",
    )


def _line(desk: Desk, thing: Shelved, version: Version, changed: list[str]) -> html.Li:
    runs = len(version.runs)
    head = _("Version {number}", number=version.number)
    if version == thing.current:
        head = _("Version {number}, current", number=version.number)
    how = how_words(version.how, version.who if may_change.get() else "")
    ran = [many("{count} attempt", "{count} attempts", runs)] if runs else []
    line = ", ".join([local_time(version.made_at), how, *ran])
    left = len(changed) - MOST_CHANGES
    more = [_("and {count} more", count=left)] if left > 0 else []
    query = urlencode({"name": thing.name, "version": version.number})
    links: list[Component] = [
        html.A(_("File (TOML)"), href=f"{desk.path}:version?{query}", download=""),
        dcc.Link(_("See it"), href=f"{desk.address(thing.name)}?version={version.number}"),
    ]
    if may_change.get() and version != thing.current:
        choose = attributes(
            data_desk="choose", data_name=thing.name, data_version=str(version.number)
        )
        words = _("Use version {number} again", number=version.number)
        links.append(html.Button(words, type="button", className="second", **choose))
    parts = [html.Strong(head), html.Span(line, className="quiet")]
    if changed:
        parts.append(html.Ul([html.Li(one) for one in [*changed[:MOST_CHANGES], *more]]))
    return html.Li([*parts, html.Span(links, className="links")])


def _away(desk: Desk, thing: Shelved) -> list[Component]:
    if not may_change.get() or thing.away:
        return []
    away = attributes(data_desk="put-away", data_name=thing.name)
    words = _(desk.words.put_away)
    return [
        html.P(
            [
                html.Button(words, type="button", className="second", **away),
                html.Span(_("It is offered no more. Nothing is deleted."), className="quiet"),
            ],
            className="links",
        )
    ]
