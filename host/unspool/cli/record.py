"""`unspool record` and `unspool demo`: runs as they happen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from unspool.cli.sources import StoreFile, open_store
from unspool.cli.streams import console

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading

Port = Annotated[int | None, typer.Option(min=0, max=65535, help="Port of the page.")]
Page = Annotated[bool, typer.Option("--page/--no-page", help="Serve the live page.")]
Browser = Annotated[bool, typer.Option("--open", help="Open the page in the browser.")]
Share = Annotated[
    bool,
    typer.Option(
        "--share", help="Let others on this network look on. With a PIN they can change things."
    ),
]

# After this many runs the demo's car rests; the page stays.
DEMO_RUNS = 20


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
    from unspool.cli.session import PageOptions, RecordedCar, RecordingSession
    from unspool.instrument.link import open_spec

    car_text = read_text(car)
    track_text = None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car))
    the_track = FLAT if track_text is None else parse_track(track_text, str(track))
    recorded = RecordedCar(the_car, the_track, car_text, track_text)
    opened_link = open_spec(link)
    with open_store(store) as opened:
        session = RecordingSession(opened_link, opened, recorded, _print_result)
        session.run(PageOptions(page, port, browser, share))
    if not session.saved:
        print("no run was recorded")


def demo(
    board: Annotated[
        Literal["python", "firmware"],
        typer.Option(help="A board in Python, or the real firmware on a simulated chip."),
    ] = "python",
    runs: Annotated[
        int | None,
        typer.Option(min=1, max=100, envvar="DEMO_RUNS", help="End after this many runs."),
    ] = None,
    speed: Annotated[float, typer.Option(help="How much faster than real time.")] = 1.0,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
) -> None:
    """Show everything without hardware: an invented car and board, recorded and drawn live."""
    from unspool.car import parse_car, parse_track
    from unspool.cli.session import PageOptions, RecordedCar, RecordingSession
    from unspool.store import default_path
    from unspool.virtual.demo import start

    where = store or default_path().with_name("demo.sqlite")
    print("demo: an invented car on an invented track; its runs are saved in", where, flush=True)
    with start(board, speed, runs or DEMO_RUNS) as shown, open_store(where) as opened:
        recorded = RecordedCar(
            parse_car(shown.car_text, "the demo's car"),
            parse_track(shown.track_text, "the demo's track"),
            shown.car_text,
            shown.track_text,
        )
        session = RecordingSession(
            shown.link,
            opened,
            recorded,
            _print_reading,
            is_over=lambda saved: runs is not None and (saved >= runs or shown.finished),
            keep_page=True,
        )
        session.run(PageOptions(page, port, browser, share))
    if runs is not None and len(session.saved) < runs and not session.stopped:
        raise RuntimeError(f"the demo recorded {len(session.saved)} runs of {runs}")


def _print_result(run_id: str, reading: Reading) -> None:
    """One line at the trackside; the rest is on the page."""
    from unspool.render.words.units import quantity

    far, fast = quantity(reading.distance_m, "m"), quantity(reading.peak_speed_m_s, "m/s")
    more = f"see: unspool analyse {run_id}"
    print(f"run {run_id}: stopped at {far}, top speed {fast}; {more}", flush=True)


def _print_reading(run_id: str, reading: Reading) -> None:
    from unspool.render.text.reading import show_reading

    screen = console()
    screen.print()
    show_reading(screen, reading, f"run {run_id}")
