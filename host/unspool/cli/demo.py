"""`unspool demo`: everything without hardware."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from unspool.cli.bounds import within
from unspool.cli.pages import (
    Browser,
    CertificateFile,
    KeyFile,
    Page,
    PageOptions,
    Port,
    Share,
    certificate_of,
)
from unspool.cli.sources import DEMO, StoreName, open_store, store_place
from unspool.cli.streams import console
from unspool.language import later

if TYPE_CHECKING:
    from unspool.app import RecordedCar
    from unspool.reading.events.types import Reading
    from unspool.virtual.demo import Demo

DONE = later(
    "The demo's car has made all its attempts. Look at them in the Logbook, or end with Ctrl-C."
)
# After this many runs the demo's car rests; the pages stay.
MOST_RUNS = 20


BoardKind = Annotated[
    Literal["python", "firmware"],
    typer.Option(help="A board in Python, or the real firmware on a simulated chip."),
]
EndAfter = Annotated[
    int | None, typer.Option(min=1, max=100, envvar="DEMO_RUNS", help="End after this many runs.")
]
Speed = Annotated[
    float, typer.Option(callback=within(0.01, 100.0), help="How much faster than real time.")
]


def demo(
    board: BoardKind = "python",
    runs: EndAfter = None,
    speed: Speed = 1.0,
    store: StoreName = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
    certificate: CertificateFile = None,
    key: KeyFile = None,
) -> None:
    """Show everything without hardware: an invented car and board, recorded and drawn live."""
    from unspool.app.boards import OwnBoard
    from unspool.cli.session import RecordingSession, Wanted
    from unspool.virtual.demo import add_contest, add_earlier_runs, start
    from unspool.virtual.demo.scenario import LIVE_WINDINGS

    pages = PageOptions(port, browser, share, certificate_of(certificate, key)) if page else None
    where = store_place(store or DEMO)
    print("demo: invented cars on an invented track; their runs are saved in", where, flush=True)
    count = runs or MOST_RUNS
    output = _Output(count, DEMO if store is None else str(where))
    with (
        start(board, speed, count, windings=LIVE_WINDINGS) as shown,
        open_store(store or DEMO) as opened,
    ):
        add_earlier_runs(opened)
        add_contest(opened)
        session = RecordingSession(
            [Wanted(shown.link, _recorded(shown))],
            opened,
            output,
            is_over=lambda saved: runs is not None and (saved >= runs or shown.finished),
            own=OwnBoard(
                later("The demo's virtual board"),
                later("no hardware; all invented"),
                lambda: shown.link,
            ),
            done=lambda: DONE if shown.finished else "",
        )
        session.run(pages)
    if runs is not None and len(session.saved) < runs and not session.stopped:
        raise RuntimeError(f"the demo recorded {len(session.saved)} runs of {runs}")


def _recorded(demo: Demo) -> RecordedCar:
    from unspool.app import RecordedCar
    from unspool.car import parse_car, parse_track

    car = parse_car(demo.car_text, "the demo's car")
    track = parse_track(demo.track_text, "the demo's track")
    return RecordedCar(car, track, demo.car_text, demo.track_text)


class _Output:
    """Prints the reading of each run, and after the last one how to see them again."""

    def __init__(self, count: int, store: str) -> None:
        self._left, self._store = count, store

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
