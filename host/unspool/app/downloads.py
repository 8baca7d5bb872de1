"""Files that the pages offer."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import TypeVar

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, PlainTextResponse

from unspool.app.jobs import Job
from unspool.app.own_files import ASSETS
from unspool.app.pages.winding_form import plan_request
from unspool.app.plain_page import plain_page
from unspool.app.query import Query, language_of, parse_query
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.app.workers import in_worker
from unspool.errors import InputError, UnspoolError
from unspool.language import _, in_language
from unspool.reading.edges.edge_file import edge_text
from unspool.render.card.html import card_html
from unspool.render.json.reading import run_json
from unspool.render.tables import comparison_csv
from unspool.render.toml.losses import losses_toml
from unspool.render.words.values import as_sentence
from unspool.study.calibration import Calibration
from unspool.study.compare import ASPECTS, Comparison
from unspool.study.plan import Plan
from unspool.study.plan.winding_card import WindingCard, card_of_plan

LOOK_S = 0.1  # from one look at a job under way to the next

T = TypeVar("T")


def serve_run_files(server: FastAPI, runs: RunCache) -> None:
    """Adds the files of a run, below /attempts/ID/."""

    def edges(run_id: str) -> Response:
        return _run_file(edge_text(runs.stored(run_id).train), run_id, "csv", "text/csv")

    def reading(run_id: str) -> Response:
        run = runs.analysed(run_id)
        text = json.dumps(run_json(run.reading, run.measured), indent=1)
        return _run_file(text, run_id, "json", "application/json")

    _add_run_route(server, "/attempts/{run_id}/reading.json", reading)
    _add_run_route(server, "/attempts/{run_id}/edges.csv", edges)


def serve_study_files(server: FastAPI, studies: Studies) -> None:
    """Adds the files of the study pages. Each takes the same query as its page."""

    def comparison(query: Query) -> Job[Comparison]:
        by = query.one_of("by", ASPECTS) or ASPECTS[0]
        return studies.comparison(query.ids(), by)

    def calibration(query: Query) -> Job[Calibration]:
        return studies.calibration(query.ids())

    def plan(query: Query) -> Job[Plan]:
        return studies.plan(plan_request(query))

    _add_study_route(server, "/side-by-side.csv", comparison, _comparison_file)
    _add_study_route(server, "/losses.toml", calibration, _losses_file)
    _add_study_route(server, "/next-winding/card.html", plan, _card_page)
    _add_study_route(server, "/next-winding/card.pdf", plan, _card_paper)


def _comparison_file(comparison: Comparison, _query: Query) -> Response:
    return attachment(comparison_csv(comparison), "unspool-compare.csv", "text/csv")


def _losses_file(calibration: Calibration, _query: Query) -> Response:
    return attachment(losses_toml(calibration), "unspool-losses.toml", "application/toml")


def _card_page(plan: Plan, query: Query) -> Response:
    with in_language(language_of(query)):
        return HTMLResponse(card_html(_card(plan)))


def _card_paper(plan: Plan, query: Query) -> Response:
    from unspool.render.card.pdf import card_pdf  # its library takes a moment to load

    with in_language(language_of(query)):
        return attachment(card_pdf(_card(plan)), "unspool-card.pdf", "application/pdf")


def serve_script(server: FastAPI, path: str, text: str) -> None:
    """Adds a script of ours that is not among the app's assets."""

    async def answer() -> Response:
        return Response(text, media_type="text/javascript")

    server.add_api_route(path, answer, methods=["GET"])


def serve_mark(server: FastAPI) -> None:
    """Our mark at the address that a browser tries for a page or file that names none."""

    async def answer() -> Response:
        return Response((ASSETS / "mark.svg").read_bytes(), media_type="image/svg+xml")

    server.add_api_route("/favicon.ico", answer, methods=["GET"])


def _card(plan: Plan) -> WindingCard:
    return card_of_plan(plan, datetime.now().date())


def _add_study_route(
    server: FastAPI,
    path: str,
    request_job: Callable[[Query], Job[T]],
    make: Callable[[T, Query], Response],
) -> None:
    """Adds a file that is made from a job's result. No thread waits while the job is at work."""

    async def answer(request: Request) -> Response:
        query = parse_query(request.url.query)
        while not await request.is_disconnected():
            job = await or_error(lambda: request_job(query))
            if isinstance(job, Response):
                return _shown(job, path)
            if job.wait(0.0):
                return _shown(
                    await or_error(partial(_made, job, lambda result: make(result, query))), path
                )
            await asyncio.sleep(LOOK_S)
        return Response(status_code=499)

    server.add_api_route(path, answer, methods=["GET"])


def _shown(answer: Response, path: str) -> Response:
    """In a browser's window an error is a page with a way back, and no bare line."""
    if answer.status_code == 200 or not path.endswith(".html"):
        return answer
    why = as_sentence(bytes(answer.body).decode().strip())
    way = _("Back to Next winding")
    back = f'<p><a href="/next-winding">{way}</a></p>'
    return plain_page(_("Trouble"), _("This cannot be shown"), why, back, answer.status_code)


def _add_run_route(server: FastAPI, path: str, make: Callable[[str], Response]) -> None:
    async def answer(run_id: str) -> Response:
        return await or_error(lambda: make(run_id))

    server.add_api_route(path, answer, methods=["GET"])


def _made(job: Job[T], make: Callable[[T], Response]) -> Response:
    return make(job.result())


async def or_error(make: Callable[[], T]) -> T | Response:
    """What `make` returns, or a response with the error's sentence."""
    try:
        return await in_worker(make)
    except InputError as error:
        return PlainTextResponse(f"{error}\n", 404)
    except UnspoolError as error:
        return PlainTextResponse(f"{error}\n", 500)


def _run_file(text: str, run_id: str, ending: str, media_type: str) -> Response:
    """run_id is one that the store knows, so it consists of digits."""
    return attachment(text, f"unspool-run-{run_id}.{ending}", media_type)


def attachment(content: str | bytes, name: str, media_type: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=media_type, headers=headers)
