"""What the pages offer to take away, and the list's thumbnails."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, PlainTextResponse

from unspool.app.pages.plan import wish_of
from unspool.app.query import Asked, asked
from unspool.app.run_cache import Shelf
from unspool.app.studies import Studies, finished
from unspool.errors import InputError, UnspoolError
from unspool.reading.edges.edge_file import edge_text
from unspool.reading.events import reading_json
from unspool.render import spark_svg
from unspool.render.card.html import card_html
from unspool.study.calibration import losses_toml
from unspool.study.compare import ASPECTS, comparison_text
from unspool.study.plan.card import Card, card


def offer_downloads(server: FastAPI, shelf: Shelf) -> None:
    """Adds the addresses below /runs/ID/ to the server."""

    def thumbnail(run_id: str) -> Response:
        motion = shelf.motion(shelf.stored(run_id))
        return Response(spark_svg(motion.distance_m, motion.speed_m_s), media_type="image/svg+xml")

    def edges(run_id: str) -> Response:
        return _file(edge_text(shelf.stored(run_id).train), run_id, "csv", "text/csv")

    def reading(run_id: str) -> Response:
        told = reading_json(shelf.tell(shelf.stored(run_id)).reading)
        return _file(json.dumps(told, indent=1), run_id, "json", "application/json")

    _offer(server, "/runs/{run_id}/thumbnail.svg", thumbnail)
    _offer(server, "/runs/{run_id}/reading.json", reading)
    _offer(server, "/runs/{run_id}/edges.csv", edges)


def offer_studies(server: FastAPI, studies: Studies) -> None:
    """Adds what the study pages offer; each address takes what its page's address says."""

    def table(wanted: Asked) -> Response:
        by = wanted.one_of("by", ASPECTS) or ASPECTS[0]
        comparison = finished(studies.comparison(wanted.ids(), by))
        return _named(comparison_text(comparison), "unspool-compare.csv", "text/csv")

    def lines(wanted: Asked) -> Response:
        text = losses_toml(finished(studies.calibration(wanted.ids())))
        return _named(text, "unspool-losses.toml", "application/toml")

    def sheet(wanted: Asked) -> Response:
        return HTMLResponse(card_html(_card(studies, wanted)))

    def paper(wanted: Asked) -> Response:
        from unspool.render.card.pdf import card_pdf  # its library takes a moment to load

        return _named(card_pdf(_card(studies, wanted)), "unspool-card.pdf", "application/pdf")

    _offer_study(server, "/compare.csv", table)
    _offer_study(server, "/losses.toml", lines)
    _offer_study(server, "/plan/card.html", sheet)
    _offer_study(server, "/plan/card.pdf", paper)


def offer_script(server: FastAPI, address: str, text: str) -> None:
    """A script of ours that does not lie among the app's assets."""

    async def answer() -> Response:
        return Response(text, media_type="text/javascript")

    server.add_api_route(address, answer, methods=["GET"])


def _card(studies: Studies, wanted: Asked) -> Card:
    plan = finished(studies.plan(wish_of(wanted)))
    return card(plan.car, plan.track, tuple(tier.turns for tier in plan.car.drum))


def _offer_study(server: FastAPI, address: str, make: Callable[[Asked], Response]) -> None:
    async def answer(request: Request) -> Response:
        return await _answered(lambda: make(asked(request.url.query)))

    server.add_api_route(address, answer, methods=["GET"])


async def _answered(make: Callable[[], Response]) -> Response:
    try:
        return await asyncio.to_thread(make)
    except InputError as error:
        return PlainTextResponse(f"{error}\n", 404)
    except UnspoolError as error:
        return PlainTextResponse(f"{error}\n", 500)


def _offer(server: FastAPI, address: str, make: Callable[[str], Response]) -> None:
    async def answer(run_id: str) -> Response:
        return await _answered(lambda: make(run_id))

    server.add_api_route(address, answer, methods=["GET"])


def _file(text: str, run_id: str, ending: str, kind: str) -> Response:
    """run_id is one that the store knew, which is digits alone."""
    return _named(text, f"unspool-run-{run_id}.{ending}", kind)


def _named(content: str | bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)
