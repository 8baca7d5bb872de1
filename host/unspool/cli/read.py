"""`unspool analyse` and `predict`: what a car did, and what it should do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.calibrate import (
    CalibrationRuns,
    RunFiles,
    RunsCar,
    RunsTrack,
    calibration_of,
)
from unspool.cli.output_files import Force, PageFile, write_new
from unspool.cli.sources import (
    AsJson,
    CarFile,
    RunName,
    StoreName,
    TrackFile,
    find_run,
    store_of,
    track_of,
)
from unspool.cli.streams import console, print_json

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading
    from unspool.study.measured_run import MeasuredRun


def analyse(
    run: RunName,
    car: CarFile = None,
    track: TrackFile = None,
    store: StoreName = None,
    as_json: AsJson = False,
    html: PageFile = None,
    force: Force = False,
) -> None:
    """Read what happened in a run: events, findings, energy."""
    from unspool.kept import Readings
    from unspool.render.json.reading import run_json
    from unspool.render.text.reading import show_reading

    with store_of([run], store) as opened:
        measured = find_run(run, car, track, opened)
        reading = Readings(opened).reading(measured)
    if html is not None:
        from unspool.render.html.page import reading_page

        write_new(html, reading_page(reading, measured.name), force=force)
    if as_json:
        print_json(run_json(reading, measured))
    else:
        show_reading(console(), reading, measured.name)
        _show_tape(measured, reading)


def _show_tape(run: MeasuredRun, reading: Reading) -> None:
    from unspool.render.words.corrections import taped_words
    from unspool.render.words.values import as_sentence

    if run.taped_m is not None:
        console().print(as_sentence(taped_words(run.taped_m, reading.distance_m)))


def predict(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    track: TrackFile = None,
    runs: CalibrationRuns = None,
    runs_car: RunsCar = None,
    runs_track: RunsTrack = None,
    store: StoreName = None,
    as_json: AsJson = False,
) -> None:
    """Predict the run of a car, with the winding in its file."""
    from unspool import model
    from unspool.car import load_car
    from unspool.render.json.prediction import prediction_json
    from unspool.render.text.reading import show_prediction

    the_car, the_track = load_car(car), track_of(track)
    calibration = calibration_of(runs, RunFiles(car, track, runs_car, runs_track), store)
    if calibration is None:
        prediction = model.predict(the_car, the_track)
    else:
        from unspool.study.calibration import predict_with

        prediction = predict_with(calibration, the_car, the_track)
    if as_json:
        print_json(prediction_json(prediction))
    else:
        if calibration is not None:
            from unspool.render.words.losses import learnt_words

            console().print(learnt_words(calibration.learnt_from))
        show_prediction(console(), prediction, the_track.name)
