"""The roll-out of a car's wheel, from pushes that were recorded as attempts."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.attempt_names import fault_words
from unspool.app.permissions import asker
from unspool.app.refusals import NOT_DONE, or_refused
from unspool.car import parse_car
from unspool.car.editing import edited
from unspool.car.of_run import CountedWheel, counted_wheel
from unspool.errors import InputError
from unspool.language import _, many
from unspool.render.words.findings import sentence
from unspool.render.words.rollout import between, millimetres
from unspool.runs import stored_run
from unspool.store import Store
from unspool.study.rollout import Push, RollOut, roll_out
from unspool.typed import typed_number
from unspool.versions import save_car
from unspool.wheel_corrections import LEAST_SD_MM, correct_wheel, proposed_circumference

PATH = "/cars:roll-out"
USUAL_TAPE_MM = "3"
MOST_PUSHES = 30


@dataclass(frozen=True)
class _Asked:
    """write: give what was found to the car and to the attempts since then."""

    car: str
    lengths_m: dict[str, float]
    tape_m: float
    since: datetime | None
    write: bool


def serve_rolling(server: FastAPI, store: Store) -> None:
    """Adds the address that a car's page sends its pushes to. The guard keeps guests from it."""

    @server.post(PATH)
    async def rolled(request: Request) -> Response:
        body, who = await request.body(), asker()

        def make() -> Response:
            asked = _asked(body)
            out, wheel = _rolled(store, asked)
            words = fault_words(_words(out), store)
            if asked.write:
                words = _write(store, asked, out, wheel, who)
            return JSONResponse({"text": words, "found": out.proposed_m is not None})

        return await or_refused(make, NOT_DONE, store)


def _rolled(store: Store, asked: _Asked) -> tuple[RollOut, CountedWheel]:
    text = store.cars.one(asked.car).current.text
    wheel = counted_wheel(text, _("the car"))
    pushes = []
    for run_id, length_m in asked.lengths_m.items():
        run = store.run(run_id)
        if run.car_text is None or counted_wheel(run.car_text, _("its car")) != wheel or not wheel:
            raise InputError(
                _("one of these attempts was made with another wheel, so leave it out")
            )
        measured = stored_run(run)
        pushes.append(Push(measured.name, measured.train, length_m))
    assert wheel is not None  # there is one push at least
    return roll_out(pushes, parse_car(text, _("the car")), asked.tape_m), wheel


def _words(out: RollOut) -> str:
    found = out.circumference_m
    first = _(
        "It rolls {length} in one turn ({between}).",
        length=millimetres(found.value),
        between=between(found),
    )
    return " ".join((first, sentence(out.verdict), *map(sentence, out.findings)))


def _write(store: Store, asked: _Asked, out: RollOut, wheel: CountedWheel, who: str) -> str:
    found = proposed_circumference(out)
    car = store.cars.one(asked.car)
    runs = correct_wheel(store, wheel, found.value, found.sd, who, asked.since)
    names = [one.name for one in parse_car(car.current.text, _("the car")).wheels]
    path = f"wheels.{names.index(wheel.name)}.rolling_circumference"
    values = {
        f"{path}_mm": round(1e3 * found.value, 2),
        f"{path}_sd_mm": max(round(1e3 * found.sd, 3), LEAST_SD_MM),
    }
    kept = save_car(store, edited(car.current.text, values), who)
    return many(
        "Written into version {number} of the car, and given to {count} attempt.",
        "Written into version {number} of the car, and given to {count} attempts.",
        len(runs),
        number=kept.current.number,
    )


def _asked(body: bytes) -> _Asked:
    try:
        sent: Any = json.loads(body)
        pushes = {str(run): text for run, text in dict(sent["pushes"]).items() if str(text).strip()}
        car, since, write = str(sent["name"]), str(sent["since"]).strip(), sent["write"] is True
        tape = str(sent["tape_sd_mm"])
    except (ValueError, KeyError, TypeError, RecursionError):
        raise InputError(_("that is no form that a page of unspool sends")) from None
    if not 0 < len(pushes) <= MOST_PUSHES:
        raise InputError(_("type the taped length beside each attempt that was a push"))
    lengths = {run: typed_number(_("a taped length"), text) for run, text in pushes.items()}
    tape_m = 1e-3 * typed_number(_("how exactly you stop at a mark"), tape)
    if not 0.0 <= tape_m <= 1.0:
        raise InputError(
            _(
                'how exactly you stop at a mark: found "{typed}", expected 0 to 1000',
                typed=tape[:20],
            )
        )
    return _Asked(car, lengths, tape_m, _moment(since), write)


def _moment(since: str) -> datetime | None:
    """The beginning of the day, on this computer's clock."""
    if not since:
        return None
    try:
        return datetime.combine(date.fromisoformat(since), time()).astimezone()
    except (ValueError, OverflowError, OSError):
        raise InputError(
            _(
                'the first day: found "{typed}", expected a day such as 2026-05-01',
                typed=since[:20],
            )
        ) from None
