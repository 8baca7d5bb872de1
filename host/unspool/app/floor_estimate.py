"""A floor that attempts show: its heights are estimated together with the losses of the car."""

from __future__ import annotations

import json
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse, PlainTextResponse

from unspool.app.desk import FLOORS
from unspool.app.permissions import asker
from unspool.app.run_cache import RunCache
from unspool.app.workers import in_worker
from unspool.car.editing import edited
from unspool.errors import InputError, UnspoolError
from unspool.render.toml.floor import track_toml
from unspool.runs import refuse_discarded
from unspool.store import Store
from unspool.study.calibration import CalibrationRun, FloorRun, calibrate_with_floor
from unspool.typed import typed_number
from unspool.versions import save_track

PATH = "/floors:from-attempts"
MOST_ATTEMPTS = 20
FARTHEST_M = 1e4


def serve_floor_estimates(server: FastAPI, store: Store, runs: RunCache) -> None:
    """Adds the address that a floor's page sends attempts to. The guard keeps guests from it."""

    @server.post(PATH)
    async def estimate(request: Request) -> Response:
        body, who = await request.body(), asker()

        def make() -> Response:
            name, starts = _asked(body)
            text = _estimated(runs, name, starts)
            kept = save_track(store, text, who)
            return JSONResponse(
                {"address": FLOORS.address(kept.name), "text": "The floor is saved."}
            )

        try:
            return await in_worker(make)
        except InputError as error:
            return PlainTextResponse(f"Not done: {error}.", 409)
        except UnspoolError as error:
            return PlainTextResponse(f"Not done: {error}.", 500)


def _estimated(runs: RunCache, name: str, starts: dict[str, float]) -> str:
    """The floor as a track file. Raises InputError if the runs do not show one."""
    placed = []
    for run_id, start_m in starts.items():
        refuse_discarded(runs.measured(run_id))
        run = runs.analysed(run_id)
        given = CalibrationRun.of(run.measured, run.reading)
        placed.append(FloorRun(given, start_m, start_m > 0.0))
    _, floor = calibrate_with_floor(placed)
    if not floor.shown:
        raise InputError("these attempts do not show that the floor is uneven, so nothing is saved")
    return edited(track_toml(floor), {"name": name})


def _asked(body: bytes) -> tuple[str, dict[str, float]]:
    """The floor's name, and where each attempt began: 0, or metres that it ran back from."""
    try:
        sent: Any = json.loads(body)
        name, given = str(sent["name"]).strip(), dict(sent["pushes"])
        typed = {str(run): text for run, text in given.items() if str(text).strip()}
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError("that is no form that a page of unspool sends") from None
    if not 0 < len(typed) <= MOST_ATTEMPTS:
        raise InputError("type where each attempt began that ran on this floor")
    starts = {run: typed_number("where an attempt began", text) for run, text in typed.items()}
    if not all(0.0 <= start < FARTHEST_M for start in starts.values()):
        raise InputError("an attempt begins at 0, or at metres from the launch line")
    return name, starts
