"""A refusal says by its status whose fault it is, and calls attempts by their names."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

import pytest
from fastapi import Response
from fastapi.responses import JSONResponse

from app_parts import filled_store
from unspool.app.attempt_names import called
from unspool.app.refusals import NOT_SAVED, or_refused
from unspool.errors import InputError, StoreError, UnspoolError


def _raising(error: UnspoolError) -> Response:
    raise error


@pytest.mark.parametrize(
    ("error", "status"), [(InputError("count again"), 409), (StoreError("the disc is full"), 500)]
)
def test_the_status_says_whose_fault_it_is(error: UnspoolError, status: int) -> None:
    answer = asyncio.run(or_refused(lambda: _raising(error), NOT_SAVED))
    assert (answer.status_code, bytes(answer.body)) == (status, f"Not saved: {error}.".encode())


def test_what_is_made_is_answered() -> None:
    answer = asyncio.run(or_refused(lambda: JSONResponse({"saved": 1}), NOT_SAVED))
    assert json.loads(bytes(answer.body)) == {"saved": 1}


def test_an_attempt_is_called_by_its_name_and_a_damaged_one_by_its_number(tmp_path: Path) -> None:
    with filled_store(tmp_path, ("Sandpiper",)) as store:
        error = InputError("run 1: found 0")
        answer = asyncio.run(or_refused(lambda: _raising(error), NOT_SAVED, store))
    assert bytes(answer.body).startswith(b"Not saved: Sandpiper, ")
    assert called("5", None) == "Attempt no. 5"
