"""An attempt on one page, for a class: what it did, its picture, where the energy went."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.pages.page import Page
from unspool.app.pages.sheet_choice import sheet_choice
from unspool.app.parts import attributes, local_time, picture
from unspool.app.query import Query, language_of
from unspool.app.run_cache import AnalysedRun
from unspool.language import LANGUAGES, _, in_language, language
from unspool.reading.events.types import Reading
from unspool.render.figures.speed import speed_figure
from unspool.render.words.explained import explained
from unspool.render.words.summary import energy_sentences, summary_sentences


def summary_page(analysed: AnalysedRun, called: str, query: Query) -> Page:
    """called: the attempt's name."""
    with in_language(language_of(query)):
        code = language()
        run, reading = analysed.stored, analysed.reading
        body = html.Article(
            [
                html.Header([html.H1(called), html.P(local_time(run.started_at))]),
                sheet_choice("language", _("Language"), list(LANGUAGES.items()), code),
                html.Section([html.P(one, className="lead") for one in summary_sentences(reading)]),
                picture(speed_figure(reading), "", "summary", (reading.car, called)),
                _energy(reading),
                _why(reading),
                _links(run.id),
            ],
            className="summary",
            lang=code,
        )
        return Page(called, body, place="logbook")


def _energy(reading: Reading) -> html.Section:
    lines = [html.Li(one) for one in energy_sentences(reading.energy)]
    return html.Section([html.H2(_("Where did the energy go?")), html.Ul(lines)])


def _why(reading: Reading) -> html.Section:
    said = explained("speed", reading)
    parts = [part for asked, answered in said for part in (html.H3(asked), html.P(answered))]
    return html.Section(parts)


def _links(run_id: str) -> html.P:
    button = html.Button(_("Print"), type="button", **attributes(data_print=""))
    back = dcc.Link(_("All about this attempt"), href=f"/attempts/{run_id}")
    return html.P([button, back], className="links")
