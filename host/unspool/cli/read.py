"""`unspool analyse` and `predict`: what a car did, and what it should do."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.cli.calibrate import LearnRuns, learn_from
from unspool.cli.output_files import Force, PageFile, write_new
from unspool.cli.sources import (
    AsJson,
    CarFile,
    RunName,
    StoreFile,
    TrackFile,
    find_run,
    read_source,
    track_of,
)
from unspool.cli.streams import console, print_json


def analyse(
    run: RunName,
    car: CarFile = None,
    track: TrackFile = None,
    store: StoreFile = None,
    as_json: AsJson = False,
    html: PageFile = None,
    force: Force = False,
) -> None:
    """Say what happened in a run: events, findings, energy."""
    from unspool.reading.events.report import reading_json
    from unspool.render.text.reading import show_reading

    source = find_run(run, car, track, store)
    reading = read_source(source)
    if html is not None:
        from unspool.render import reading_page

        write_new(html, reading_page(reading, source.name), force=force)
    if as_json:
        print_json(reading_json(reading))
    else:
        show_reading(console(), reading, source.name)


def predict(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    track: TrackFile = None,
    runs: LearnRuns = None,
    store: StoreFile = None,
    as_json: AsJson = False,
) -> None:
    """Say what a car should do as it is wound, before it is let go."""
    from unspool import model
    from unspool.car import load_car
    from unspool.model.report import prediction_json
    from unspool.render.text.reading import show_prediction
    from unspool.study.calibration import predict_with

    the_car, the_track = load_car(car), track_of(track)
    learnt = learn_from(runs, car, track, store)
    if learnt is None:
        prediction = model.predict(the_car, the_track)
    else:
        prediction = predict_with(learnt, the_car, the_track)
    if as_json:
        print_json(prediction_json(prediction))
    else:
        if learnt is not None:
            from unspool.render.words.calibration import learnt_words

            console().print(learnt_words(learnt.learnt_from))
        show_prediction(console(), prediction, the_track.name)
