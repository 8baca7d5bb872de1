"""`unspool record`: runs of a car, while they happen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.pages import Browser, Page, PageOptions, Port, Share
from unspool.cli.sources import StoreFile, open_store
from unspool.cli.ways import (
    Cable,
    Radio,
    RadioModule,
    RadioNotify,
    RadioRate,
    RadioResponse,
    RadioService,
    RadioWrite,
    way_to_board,
)
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.instrument.link import Link
    from unspool.reading.events.types import Reading


def record(
    car: Annotated[Path, typer.Option(help="Car file (TOML).")],
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    cable: Cable = None,
    radio: Radio = None,
    replay: Annotated[
        Path | None, typer.Option(help="Play a captured file instead of a board.")
    ] = None,
    speed: Annotated[
        float,
        typer.Option(min=0.0, max=10_000.0, help="How fast to play it; 0 is as fast as it goes."),
    ] = 1.0,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
    radio_service: RadioService = None,
    radio_notify: RadioNotify = None,
    radio_write: RadioWrite = None,
    radio_rate: RadioRate = None,
    radio_response: RadioResponse = None,
) -> None:
    """Record runs of a car and show them live, until Ctrl-C."""
    from unspool.app import RecordedCar
    from unspool.car import FLAT, parse_car, parse_track
    from unspool.car.toml_source import read_text
    from unspool.cli.session import RecordingSession

    car_text = read_text(car)
    track_text = None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car))
    the_track = FLAT if track_text is None else parse_track(track_text, str(track))
    recorded = RecordedCar(the_car, the_track, car_text, track_text)
    if replay is not None and (cable or radio):
        raise InputError("--replay plays a file in place of a board; leave --cable and --radio out")
    module = RadioModule(radio_service, radio_notify, radio_write, radio_rate, radio_response)
    board = way_to_board(cable, radio, module) if replay is None else _played(replay, speed)
    with open_store(store) as opened:
        session = RecordingSession(board, opened, recorded, _print_result)
        session.run(PageOptions(port, browser, share) if page else None)
    if not session.saved:
        print("no run was recorded")


def _played(file: Path, speed: float) -> Link:
    from unspool.instrument.link import replay_link

    return replay_link(file, speed)


def _print_result(run_id: str, reading: Reading) -> None:
    """One line at the trackside; the rest is on the page."""
    from unspool.render.words.result import end_words
    from unspool.render.words.units import quantity

    far = end_words(reading.motion, reading.distance_m, reading.distance_sd_m)
    fast = quantity(reading.peak_speed_m_s, "m/s")
    more = f"see: unspool analyse {run_id}"
    print(f"run {run_id}: {far}, top speed {fast}; {more}", flush=True)
