"""`unspool record`: runs of a car, while they happen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.pages import Browser, Page, PageOptions, Port, Share
from unspool.cli.sources import StoreFile, open_store

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading


def record(
    link: Annotated[
        str, typer.Option(help="Link to the board: serial:PORT, ble:NAME or replay:FILE.")
    ],
    car: Annotated[Path, typer.Option(help="Car file (TOML).")],
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
) -> None:
    """Record runs of a car and show them live, until Ctrl-C."""
    from unspool.car import FLAT, parse_car, parse_track
    from unspool.car.toml_source import read_text
    from unspool.cli.session import RecordedCar, RecordingSession
    from unspool.instrument.link import open_spec

    car_text = read_text(car)
    track_text = None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car))
    the_track = FLAT if track_text is None else parse_track(track_text, str(track))
    recorded = RecordedCar(the_car, the_track, car_text, track_text)
    opened_link = open_spec(link)
    with open_store(store) as opened:
        session = RecordingSession(opened_link, opened, recorded, _print_result)
        session.run(PageOptions(port, browser, share) if page else None)
    if not session.saved:
        print("no run was recorded")


def _print_result(run_id: str, reading: Reading) -> None:
    """One line at the trackside; the rest is on the page."""
    from unspool.render.words.result import end_words
    from unspool.render.words.units import quantity

    far = end_words(reading.motion, reading.distance_m, reading.distance_sd_m)
    fast = quantity(reading.peak_speed_m_s, "m/s")
    more = f"see: unspool analyse {run_id}"
    print(f"run {run_id}: {far}, top speed {fast}; {more}", flush=True)
