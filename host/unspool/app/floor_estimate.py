"""A floor that attempts show: its heights are estimated together with the losses of the car."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import partial
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.desk import FLOORS
from unspool.app.jobs import Progress
from unspool.app.permissions import asker
from unspool.app.refusals import NOT_DONE, or_refused
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.car.editing import edited
from unspool.errors import InputError
from unspool.language import _
from unspool.render.toml.floor import track_toml
from unspool.render.words.calibration import reading_words, round_words
from unspool.runs import refuse_discarded
from unspool.store import Store
from unspool.study.calibration import CalibrationRun, FloorRun, calibrate_with_floor
from unspool.typed import typed_number
from unspool.versions import save_track

PATH = "/floors:from-attempts"
MOST_ATTEMPTS = 20
TICKET = 64  # characters
FARTHEST_M = 1e4


@dataclass(frozen=True)
class _Asked:
    """name: of the floor. starts: where each attempt began, 0 or metres that it ran back from.

    ticket: the same for every question about one estimate. stop: whether it is to end.
    """

    name: str
    starts: dict[str, float]
    ticket: str
    stop: bool


def serve_floor_estimates(server: FastAPI, store: Store, studies: Studies) -> None:
    """Adds the address that a floor's page sends attempts to, again and again until it is done.

    The guard keeps guests from it.
    """

    @server.post(PATH)
    async def estimate(request: Request) -> Response:
        body, who = await request.body(), asker()
        return await or_refused(lambda: _answer(store, studies, _asked(body), who), NOT_DONE, store)


def _answer(store: Store, studies: Studies, asked: _Asked, who: str) -> Response:
    """What is under way, or the address of the floor that was saved."""
    key = (PATH, asked.ticket)
    if asked.stop:
        studies.jobs.stop(key)
        return JSONResponse({"text": _("Stopped. Nothing is saved.")})

    def work(progress: Progress) -> str:
        text = _estimated(studies.runs, asked.name, asked.starts, progress)
        return save_track(store, text, who).name

    job = studies.jobs.request(key, work)
    if not job.wait(0.0):
        return JSONResponse({"doing": _("Working on it: {doing}.", doing=job.doing())}, 202)
    return JSONResponse({"address": FLOORS.address(job.result()), "text": _("The floor is saved.")})


def _estimated(runs: RunCache, name: str, starts: dict[str, float], progress: Progress) -> str:
    """The floor as a track file. Raises InputError if the runs do not show one."""
    placed = []
    for i, (run_id, start_m) in enumerate(starts.items(), 1):
        progress(partial(reading_words, i, len(starts)))
        refuse_discarded(runs.measured(run_id))
        run = runs.analysed(run_id)
        given = CalibrationRun.of(run.measured, run.reading)
        placed.append(FloorRun(given, start_m, start_m > 0.0))
    _losses, floor = calibrate_with_floor(
        placed, progress=lambda done, most: progress(partial(round_words, done, most))
    )
    if not floor.shown:
        raise InputError(
            _("these attempts do not show that the floor is uneven, so nothing is saved")
        )
    return edited(track_toml(floor), {"name": name})


def _asked(body: bytes) -> _Asked:
    """Raises InputError for what no page of ours sends, and for places that cannot be."""
    try:
        sent: Any = json.loads(body)
        name, given = str(sent["name"]).strip(), dict(sent["pushes"])
        typed = {str(run): text for run, text in given.items() if str(text).strip()}
        ticket, stop = str(sent.get("ticket", ""))[:TICKET], sent.get("stop") is True
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError(_("that is no form that a page of unspool sends")) from None
    if not 0 < len(typed) <= MOST_ATTEMPTS:
        raise InputError(_("type where each attempt began that ran on this floor"))
    starts = {run: typed_number(_("where an attempt began"), text) for run, text in typed.items()}
    if not all(0.0 <= start < FARTHEST_M for start in starts.values()):
        raise InputError(_("an attempt begins at 0, or at metres from the launch line"))
    return _Asked(name, starts, ticket, stop)
