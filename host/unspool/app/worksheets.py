"""Worksheets: the sheet that a query asks for, marks of what pupils typed, and the paper."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.downloads import attachment, or_error
from unspool.app.permissions import may
from unspool.app.query import Query, language_of, parse_query
from unspool.app.rights import Part
from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.errors import InputError
from unspool.language import _, in_language
from unspool.render.words.reading_units import ReadingUnits, reading_in
from unspool.render.words.worksheet import formula_text, mark_text, question_text
from unspool.store import Store
from unspool.study.worksheet import (
    Choice,
    Mark,
    Number,
    Question,
    Worksheet,
    after_run,
    mark,
    worksheet,
)
from unspool.typed import decimal

CHECK, PAPER = "/worksheet/check", "/worksheet/paper.pdf"
FORECAST, TAPED = "forecast_m", "taped_m"
LONGEST_M = 1000.0  # nobody tapes more


def sheet_of(store: Store, query: Query) -> Worksheet | None:
    """The sheet of the query's car and floor, or of the first car; None if there is no car.

    Raises InputError for a car or floor that the store does not know, or that is at fault.
    """
    car = _car(store, query.text("car"))
    return None if car is None else worksheet(car, _floor(store, query.text("floor")))


@contextmanager
def sheet_words(query: Query) -> Iterator[str]:
    """A sheet's words: in the language that the query names, in the units that pupils answer in."""
    code = language_of(query)
    with in_language(code), reading_in(ReadingUnits.METRIC):
        yield code


def _car(store: Store, name: str) -> Car | None:
    if not name:
        name = next((one.name for one in store.cars.listed() if not one.away), "")
    return parse_car(store.cars.one(name).current.text, _("the car")) if name else None


def _floor(store: Store, name: str) -> Track:
    return parse_track(store.tracks.one(name).current.text, _("the floor")) if name else FLAT


def serve_worksheets(server: FastAPI, store: Store) -> None:
    """Adds what the worksheet's page asks for. Nothing changes, so guests may ask it too."""

    @server.get(CHECK)
    async def check(request: Request) -> Response:
        query = parse_query(request.url.query)
        return await or_error(partial(_checked, store, query))

    @server.get(PAPER)
    async def paper(request: Request) -> Response:
        query = parse_query(request.url.query)
        return await or_error(partial(_paper, store, query))


def _checked(store: Store, query: Query) -> Response:
    sheet = sheet_of(store, query)
    if sheet is None:
        raise InputError(_("there is no car to ask about"))
    with sheet_words(query):
        after = _after(sheet, query)
        found = {one.ask: _marked(one, query.text(one.ask)) for one in (*sheet.questions, *after)}
        asked = [_asked(one) for one in after]
    return JSONResponse(
        {"marks": {ask: text for ask, text in found.items() if text}, "after": asked}
    )


def _after(sheet: Worksheet, query: Query) -> tuple[Number, ...]:
    taped = query.number(TAPED)
    if taped is None or not 0.0 < taped <= LONGEST_M:
        return ()
    return after_run(sheet, query.number(FORECAST), taped)


def _asked(question: Number) -> dict[str, str]:
    return {
        "ask": question.ask,
        "text": question_text(question),
        "formula": formula_text(question),
        "unit": question.unit,
    }


def _marked(question: Question, typed: str) -> dict[str, Any] | None:
    """None for a question without an answer yet."""
    if not typed:
        return None
    given: float | str | None = typed if isinstance(question, Choice) else decimal(typed)
    found = mark(question, "" if given is None else given)
    return {"right": found is Mark.RIGHT, "text": mark_text(found)}


def _paper(store: Store, query: Query) -> Response:
    """The key is for those who may change things: a class looks on as guests."""
    from unspool.render.worksheet.pdf import key_pdf, worksheet_pdf  # its library takes a moment

    sheet = sheet_of(store, query)
    if sheet is None:
        raise InputError(_("there is no car to ask about"))
    key = query.text("key") == "yes"
    if key and not may(Part.KEY):
        raise InputError(
            _("the key is for the computer that runs unspool, or for those with its PIN")
        )
    with sheet_words(query):
        made = key_pdf(sheet) if key else worksheet_pdf(sheet)
    name = "unspool-key.pdf" if key else "unspool-worksheet.pdf"
    return attachment(made, name, "application/pdf")
