"""The worksheet of a car: forecast first, then what to work out, then the run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.sheet_choice import sheet_choice
from unspool.app.parts import attributes, empty, fold
from unspool.app.parts.fields import NUMBER_BOX
from unspool.app.permissions import may
from unspool.app.query import Query, address, language_of
from unspool.app.rights import Part
from unspool.app.worksheets import CHECK, FORECAST, PAPER, TAPED, sheet_of, sheet_words
from unspool.language import LANGUAGES, _
from unspool.render.words.worksheet import formula_text, option_text, question_text
from unspool.store import Store
from unspool.study.worksheet import Choice, Question, Worksheet

PATH = "/worksheet"


def worksheet_page(query: Query, store: Store) -> Page:
    """Raises InputError for a car or floor that the store does not know, or that is at fault."""
    with sheet_words(query):
        sheet = sheet_of(store, query)
        if sheet is None:
            title = _("Worksheet")
            first = html.Span([_("Describe a car first."), " ", dcc.Link(_("Cars"), href="/cars")])
            return Page(title, empty(title, first), "cars")
        title = _("Worksheet: {car}", car=sheet.car.name)
        return Page(title, _body(sheet, query, store, title), "cars")


def _body(sheet: Worksheet, query: Query, store: Store, title: str) -> html.Article:
    fields = _fields(sheet, query)
    return html.Article(
        [
            html.Header([html.H1(title), _choices(sheet, query, store)]),
            html.P(_("Forecast first, then work it out, then let it run."), className="lead"),
            _names(),
            _section(
                _("Your forecast"),
                [_number(FORECAST, _("How far will the car go?"), "m")],
            ),
            _section(_("Work it out"), [_item(one) for one in sheet.questions]),
            _section(
                _("After the run"),
                [_number(TAPED, _("How far did it go, by tape?"), "m")],
                data_after="",
            ),
            html.P("", className="said", role="status", **attributes(data_said="")),
            _links(fields),
        ],
        className="worksheet",
        lang=language_of(query),
        **attributes(
            data_worksheet=address(CHECK, fields),
            data_lost=_("Not checked: this page has lost its connection to unspool."),
            data_formula=_("Show the formula"),
        ),
    )


def _fields(sheet: Worksheet, query: Query) -> dict[str, Any]:
    """What the page's other addresses need to be of the same sheet."""
    language = language_of(query)
    return {"car": sheet.car.name, "floor": query.text("floor"), "language": language}


def _choices(sheet: Worksheet, query: Query, store: Store) -> html.Div:
    cars = [one.name for one in store.cars.listed() if not one.away]
    floors = [one.name for one in store.tracks.listed() if not one.away]
    floor = query.text("floor")
    languages = [(code, name) for code, name in LANGUAGES.items()]
    return html.Div(
        [
            sheet_choice("car", _("Car"), [(name, name) for name in cars], sheet.car.name),
            sheet_choice("floor", _("Floor"), [("", _("level")), *((n, n) for n in floors)], floor),
            sheet_choice("language", _("Language"), languages, language_of(query)),
        ],
        className="chosen",
    )


def _names() -> html.P:
    """Lines to write on, when the page is printed."""
    return html.P(
        "{}: ____________________    {}: __________".format(_("Name"), _("Date")),
        className="paper",
    )


def _section(heading: str, items: Sequence[Component], **data: str) -> html.Section:
    return html.Section(
        [html.H2(heading), html.Div(items, className="questions", **attributes(**data))],
        className="plate",
    )


def _item(question: Question) -> html.Div:
    text, formula = question_text(question), formula_text(question)
    more = [fold(_("Show the formula"), html.P(formula))] if formula else []
    if isinstance(question, Choice):
        return _question(question.ask, [_choice(question, text)], more)
    return _question(question.ask, [_box(question.ask, text, question.unit)], more)


def _number(name: str, text: str, unit: str) -> html.Div:
    return _question(name, [_box(name, text, unit)], [])


def _question(name: str, box: Sequence[Component], more: Sequence[Component]) -> html.Div:
    marked = html.P("", className="mark", **attributes(data_mark=name))
    return html.Div([*box, *more, marked], className="field")


def _box(name: str, text: str, unit: str) -> html.Label:
    box = dcc.Input(id={"answer": name}, name=name, **NUMBER_BOX)
    said, of = html.Span(text, className="name"), html.Span(unit, className="unit")
    return html.Label([said, box, of])


def _choice(question: Choice, text: str) -> html.Label:
    options = [html.Option(option_text(one), value=one) for one in question.options]
    first = html.Option(_("choose"), value="", selected=True)
    select = html.Select([first, *options], name=question.ask)
    return html.Label([html.Span(text, className="name"), select])


def _links(fields: dict[str, Any]) -> html.P:
    button = html.Button(_("Check"), type="button", **attributes(data_check=""))
    paper = html.A(_("On paper (PDF)"), href=address(PAPER, fields), className="second")
    parts: list[Component] = [button, paper]
    if may(Part.KEY):
        key = address(PAPER, fields | {"key": "yes"})
        parts.append(html.A(_("Teacher's key (PDF)"), href=key, className="second"))
    return html.P(parts, className="links")
