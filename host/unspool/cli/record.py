"""`unspool record` and `unspool demo`: runs as they happen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from unspool.cli.sources import Source, StoreFile, new_store
from unspool.cli.streams import console

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading

Port = Annotated[int | None, typer.Option(min=0, max=65535, help="Port of the page.")]
Page = Annotated[bool, typer.Option("--page/--no-page", help="Serve the live page.")]
Browser = Annotated[bool, typer.Option("--open", help="Open the page in the browser.")]
Share = Annotated[
    bool, typer.Option("--share", help="Let others on this network look on; a PIN lets them act.")
]

# After these many runs the demo's car rests; the page stays.
DEMO_LONG = 20


def record(
    link: Annotated[
        str, typer.Option(help="The way to the board: serial:PORT, ble:NAME or replay:FILE.")
    ],
    car: Annotated[Path, typer.Option(help="Car file (TOML).")],
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
) -> None:
    """Record runs from a board and show them live, until Ctrl-C."""
    from unspool.car import FLAT, parse_car, parse_track
    from unspool.car.toml_source import read_text
    from unspool.cli.session import PageWish, Sitting
    from unspool.instrument.link import open_spec

    car_text = read_text(car)
    track_text = None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car))
    the_track = FLAT if track_text is None else parse_track(track_text, str(track))
    way = open_spec(link)
    with new_store(store) as kept:
        sitting = Sitting(way, kept, the_car, the_track, car_text, track_text, _say_run)
        sitting.hold(PageWish(page, port, browser, share))
    if not sitting.saved:
        print("no run was recorded")


def demo(
    board: Annotated[
        Literal["python", "firmware"],
        typer.Option(help="A board in Python, or the real firmware on a simulated chip."),
    ] = "python",
    runs: Annotated[
        int | None,
        typer.Option(min=1, max=100, envvar="DEMO_RUNS", help="End after so many runs."),
    ] = None,
    speed: Annotated[float, typer.Option(help="How much faster than real.")] = 1.0,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
) -> None:
    """Show it all without hardware: an invented car and board, recorded and drawn live."""
    from unspool.car import parse_car, parse_track
    from unspool.cli.session import PageWish, Sitting
    from unspool.store import default_path
    from unspool.virtual.demo import start

    where = store or default_path().with_name("demo.sqlite")
    print("demo: an invented car on an invented track; runs are kept in", where, flush=True)
    with start(board, speed, runs or DEMO_LONG) as shown, new_store(where) as kept:
        sitting = Sitting(
            link=shown.link,
            store=kept,
            car=parse_car(shown.car_text, "the demo's car"),
            track=parse_track(shown.track_text, "the demo's track"),
            car_text=shown.car_text,
            track_text=shown.track_text,
            on_run=_show_run,
            runs=runs,
            over=lambda: runs is not None and shown.finished,
            stay=True,
        )
        sitting.hold(PageWish(page, port, browser, share))
    if runs is not None and len(sitting.saved) < runs and not sitting.stopped:
        raise RuntimeError(f"the demo recorded {len(sitting.saved)} runs of {runs}")


def _say_run(run_id: str, source: Source, reading: Reading) -> None:
    """One line at the trackside; the rest is on the page."""
    from unspool.render.words.units import quantity

    far, fast = quantity(reading.distance_m, "m"), quantity(reading.peak_speed_m_s, "m/s")
    more = f"see: unspool analyse {run_id}"
    print(f"run {run_id}: stopped at {far}, top speed {fast}; {more}", flush=True)


def _show_run(run_id: str, source: Source, reading: Reading) -> None:
    from unspool.render.text.reading import show_reading

    screen = console()
    screen.print()
    show_reading(screen, reading, source.name)
