"""`unspool record` and `unspool demo`: runs as they happen."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from unspool.cli.bounds import within
from unspool.cli.pages import PageOptions, Port, Share
from unspool.cli.sources import DEMO, StoreFile, open_store, store_path
from unspool.cli.streams import console

if TYPE_CHECKING:
    from unspool.reading.events.types import Reading

Page = Annotated[bool, typer.Option("--page/--no-page", help="Serve the live page.")]
Browser = Annotated[
    bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
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


def demo(
    board: Annotated[
        Literal["python", "firmware"],
        typer.Option(help="A board in Python, or the real firmware on a simulated chip."),
    ] = "python",
    runs: Annotated[
        int | None,
        typer.Option(min=1, max=100, envvar="DEMO_RUNS", help="End after this many runs."),
    ] = None,
    speed: Annotated[
        float, typer.Option(callback=within(0.01, 100.0), help="How much faster than real time.")
    ] = 1.0,
    store: StoreFile = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
) -> None:
    """Show everything without hardware: an invented car and board, recorded and drawn live."""
    from unspool.car import parse_car, parse_track
    from unspool.cli.session import RecordedCar, RecordingSession
    from unspool.virtual.demo import add_earlier_runs, start
    from unspool.virtual.demo.scenario import LIVE_WINDINGS

    where = store_path(store or Path(DEMO))
    print("demo: invented cars on an invented track; their runs are saved in", where, flush=True)
    count = runs or DEMO_RUNS
    output = _DemoOutput(count, store)
    with start(board, speed, count, windings=LIVE_WINDINGS) as shown, open_store(where) as opened:
        add_earlier_runs(opened)
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
            output,
            is_over=lambda saved: runs is not None and (saved >= runs or shown.finished),
            keep_page=True,
        )
        session.run(PageOptions(port, browser, share) if page else None)
    if runs is not None and len(session.saved) < runs and not session.stopped:
        raise RuntimeError(f"the demo recorded {len(session.saved)} runs of {runs}")


def _print_result(run_id: str, reading: Reading) -> None:
    """One line at the trackside; the rest is on the page."""
    from unspool.render.words.units import quantity

    far, fast = quantity(reading.distance_m, "m"), quantity(reading.peak_speed_m_s, "m/s")
    more = f"see: unspool analyse {run_id}"
    print(f"run {run_id}: stopped at {far}, top speed {fast}; {more}", flush=True)


class _DemoOutput:
    """Prints the reading of each run, and after the last one how to see them again."""

    def __init__(self, count: int, store: Path | None) -> None:
        self._left, self._store = count, store or DEMO

    def __call__(self, run_id: str, reading: Reading) -> None:
        from unspool.render.text.reading import show_reading

        screen = console()
        screen.print()
        show_reading(screen, reading, f"run {run_id}")
        self._left -= 1
        if self._left == 0:
            print("\nthat was the demo's last run; see all of them again with", flush=True)
            print(f"  {_own_command()} app --store {self._store}", flush=True)


def _own_command() -> str:
    """What the user types to start unspool again; `make demo` does not put it on the path."""
    from shutil import which

    started_as = Path(sys.argv[0])
    if which("unspool") or started_as.name == "__main__.py":
        return "unspool"
    return str(started_as)
