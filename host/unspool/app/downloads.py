"""What a run page offers to take away, and the list's thumbnails."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable

from fastapi import FastAPI, Response
from fastapi.responses import PlainTextResponse

from unspool.app.shelf import Shelf
from unspool.errors import InputError, UnspoolError
from unspool.events import reading_json
from unspool.pictures import spark_svg
from unspool.pulses.csvfile import edge_text


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


def _offer(server: FastAPI, address: str, make: Callable[[str], Response]) -> None:
    async def answer(run_id: str) -> Response:
        try:
            return await asyncio.to_thread(make, run_id)
        except InputError as error:
            return PlainTextResponse(f"{error}\n", 404)
        except UnspoolError as error:
            return PlainTextResponse(f"{error}\n", 500)

    server.add_api_route(address, answer, methods=["GET"])


def _file(text: str, run_id: str, ending: str, kind: str) -> Response:
    """run_id is one that the store knew, which is digits alone."""
    name = f"unspool-run-{run_id}.{ending}"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=kind, headers=headers)
