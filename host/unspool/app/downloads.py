"""Files that the pages offer, and the thumbnails of the list."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, PlainTextResponse

from unspool.app.pages.plan import plan_request
from unspool.app.query import Query, parse_query
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies, finished
from unspool.errors import InputError, UnspoolError
from unspool.reading.edges.edge_file import edge_text
from unspool.render import spark_svg
from unspool.render.card.html import card_html
from unspool.render.json.reading import reading_json
from unspool.render.tables import comparison_csv
from unspool.study.calibration import losses_toml
from unspool.study.compare import ASPECTS
from unspool.study.plan.card import Card, card


def serve_run_files(server: FastAPI, runs: RunCache) -> None:
    """Adds the files of a run, below /runs/ID/."""

    def thumbnail(run_id: str) -> Response:
        motion = runs.motion(runs.stored(run_id))
        return Response(spark_svg(motion.distance_m, motion.speed_m_s), media_type="image/svg+xml")

    def edges(run_id: str) -> Response:
        return _run_file(edge_text(runs.stored(run_id).train), run_id, "csv", "text/csv")

    def reading(run_id: str) -> Response:
        text = json.dumps(reading_json(runs.analysed(run_id).reading), indent=1)
        return _run_file(text, run_id, "json", "application/json")

    _add_run_route(server, "/runs/{run_id}/thumbnail.svg", thumbnail)
    _add_run_route(server, "/runs/{run_id}/reading.json", reading)
    _add_run_route(server, "/runs/{run_id}/edges.csv", edges)


def serve_study_files(server: FastAPI, studies: Studies) -> None:
    """Adds the files of the study pages. Each takes the same query as its page."""

    def comparison_table(query: Query) -> Response:
        by = query.one_of("by", ASPECTS) or ASPECTS[0]
        comparison = finished(studies.comparison(query.ids(), by))
        return _attachment(comparison_csv(comparison), "unspool-compare.csv", "text/csv")

    def losses(query: Query) -> Response:
        text = losses_toml(finished(studies.calibration(query.ids())))
        return _attachment(text, "unspool-losses.toml", "application/toml")

    def card_page(query: Query) -> Response:
        return HTMLResponse(card_html(_card(studies, query)))

    def card_paper(query: Query) -> Response:
        from unspool.render.card.pdf import card_pdf  # its library takes a moment to load

        return _attachment(card_pdf(_card(studies, query)), "unspool-card.pdf", "application/pdf")

    _add_query_route(server, "/compare.csv", comparison_table)
    _add_query_route(server, "/losses.toml", losses)
    _add_query_route(server, "/plan/card.html", card_page)
    _add_query_route(server, "/plan/card.pdf", card_paper)


def serve_script(server: FastAPI, path: str, text: str) -> None:
    """Adds a script of ours that is not among the app's assets."""

    async def answer() -> Response:
        return Response(text, media_type="text/javascript")

    server.add_api_route(path, answer, methods=["GET"])


def _card(studies: Studies, query: Query) -> Card:
    plan = finished(studies.plan(plan_request(query)))
    return card(plan.car, plan.track, tuple(tier.turns for tier in plan.car.drum))


def _add_query_route(server: FastAPI, path: str, make: Callable[[Query], Response]) -> None:
    async def answer(request: Request) -> Response:
        return await _in_thread(lambda: make(parse_query(request.url.query)))

    server.add_api_route(path, answer, methods=["GET"])


def _add_run_route(server: FastAPI, path: str, make: Callable[[str], Response]) -> None:
    async def answer(run_id: str) -> Response:
        return await _in_thread(lambda: make(run_id))

    server.add_api_route(path, answer, methods=["GET"])


async def _in_thread(make: Callable[[], Response]) -> Response:
    """The response, or the error's sentence."""
    try:
        return await asyncio.to_thread(make)
    except InputError as error:
        return PlainTextResponse(f"{error}\n", 404)
    except UnspoolError as error:
        return PlainTextResponse(f"{error}\n", 500)


def _run_file(text: str, run_id: str, ending: str, media_type: str) -> Response:
    """run_id is one that the store knows, so it consists of digits."""
    return _attachment(text, f"unspool-run-{run_id}.{ending}", media_type)


def _attachment(content: str | bytes, name: str, media_type: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=media_type, headers=headers)
