"""Pages call attempts by their names wherever a file, a command or an error knows a number."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app_parts import filled_store, read_sample
from unspool.app import create_app
from unspool.app.attempt_names import fault_words, with_names
from unspool.app.live_boards import LiveBoards
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.car import FLAT
from unspool.errors import InputError
from unspool.finding import note
from unspool.language import LANGUAGES, in_language
from unspool.reading.events import analyse
from unspool.store import Field, Store
from unspool.study.calibration import CalibrationRun, calibrate
from unspool.virtual.demo.scenario import sandpiper
from unspool.virtual.truth import PERFECT, run


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


def test_a_fault_names_the_attempt(store: Store) -> None:
    name = RunCache(store, read_sample).name("2")
    assert name.startswith("Dunlin, ")
    assert fault_words(InputError("run 2: found 0"), store) == f"{name}: found 0."
    said = fault_words("Not saved: Run 2 and run 99 differ", store)
    assert said == f"Not saved: {name} and run 99 differ."


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_fault_names_it_in_each_language(store: Store, code: str) -> None:
    with in_language(code), pytest.raises(InputError) as refused:
        store.undo_correction("2", "Ada")
    with in_language(code):
        assert RunCache(store, read_sample).name("2") in fault_words(refused.value, store)


def test_a_discarded_attempt_is_named_on_a_page_without_a_command(store: Store) -> None:
    store.correct("1", {Field.DISCARDED: True}, "Ada")
    studies = Studies(RunCache(store, read_sample))
    while (page := page_for("/side-by-side", "?run=1&run=2", studies, LiveBoards())).pending:
        pass
    said = str(page.body)
    assert studies.runs.name("1") in said
    assert "unspool correct" not in said


def test_a_correction_that_does_not_fit_names_the_attempt(store: Store) -> None:
    client = TestClient(
        create_app(store, None, read_sample).server,
        base_url="http://127.0.0.1:8437",
        client=("127.0.0.1", 5000),
    )
    sent = json.dumps({"seen": None, "fields": {"turns:start": "3"}})
    said = client.post("/attempts/1/correction", content=sent).text
    assert said.startswith(f"Not saved: {RunCache(store).name('1')}: ")


def test_a_kept_calibration_takes_the_names(store: Store) -> None:
    car = sandpiper()
    trains = [run(car, FLAT, PERFECT, seed).train for seed in range(2)]
    made = calibrate(
        [
            CalibrationRun(analyse(train, car), car, name=f"run {i}")
            for i, train in enumerate(trains)
        ]
    )
    about = (note("run_disagrees", run="run 1", measured_m=1.0, modelled_m=2.0),)
    odd = replace(made, findings=about)
    named = with_names(odd, {"run 0": "Sandpiper, 1st", "run 1": "Sandpiper, 2nd"})
    assert named.learnt_from == ("Sandpiper, 1st", "Sandpiper, 2nd")
    assert named.findings[0].values["run"] == "Sandpiper, 2nd"
    assert named.findings[0].values["measured_m"] == 1.0
