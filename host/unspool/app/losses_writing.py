"""Calibrated losses written into the car that the store keeps, as one more version of it."""

from __future__ import annotations

import tomllib

from fastapi import FastAPI, Request, Response
from fastapi.responses import PlainTextResponse

from unspool.app.permissions import asker
from unspool.app.query import Query, parse_query
from unspool.app.refusals import NOT_WRITTEN, or_refused
from unspool.app.studies import Studies
from unspool.car.editing import Value, edited
from unspool.language import _, later
from unspool.render.toml.losses import losses_toml
from unspool.store import Store
from unspool.study.calibration import Calibration
from unspool.versions import save_car

PATH = "/losses/write"
# A car file that says the constant drag where the runs give rolling alone would count it twice.
ALONE = "losses.constant_drag_n"
BUSY = later("the losses are still being calibrated; try again in a moment")


def serve_losses(server: FastAPI, store: Store, studies: Studies) -> None:
    """Adds the address that writes them. The guard keeps guests from it."""

    @server.post(PATH)
    async def write(request: Request) -> Response:
        query, who = parse_query(request.url.query), asker()
        return await or_refused(
            lambda: PlainTextResponse(_written(store, studies, query, who)), NOT_WRITTEN, store
        )


def _written(store: Store, studies: Studies, query: Query, who: str) -> str:
    """Raises ChangedMeanwhileError if somebody else changes the car at this moment."""
    calibration = studies.calibrated(query.ids(), _(BUSY))
    car = store.cars.one(calibration.car.name)
    text = with_losses(car.current.text, calibration)
    kept = save_car(store, text, who, car.revision)
    return _(
        "Written into {car}, version {number}. Attempts that were made before keep the version "
        "that they had.",
        car=kept.name,
        number=kept.current.number,
    )


def with_losses(text: str, calibration: Calibration) -> str:
    """The text of a car file with these losses; everything else in it stays as it is."""
    lines = tomllib.loads(losses_toml(calibration))
    changes: dict[str, Value | None] = {ALONE: None}
    changes |= {f"losses.{key}": value for key, value in lines.pop("losses").items()}
    changes |= {f"body.{key}": value for key, value in lines.items()}
    return edited(text, changes)
