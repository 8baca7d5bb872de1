"""`unspool record`: runs of one car or several, while they happen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.handing_over import HandOverTo, handing_over
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
from unspool.cli.sources import StoreName, open_store
from unspool.cli.ways import (
    Cables,
    RadioModule,
    RadioNotify,
    RadioRate,
    RadioResponse,
    Radios,
    RadioService,
    RadioWrite,
    ways_to_boards,
)
from unspool.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from unspool.app import RecordedCar
    from unspool.instrument.link import Link
    from unspool.reading.events.types import Reading


CarFiles = Annotated[
    list[Path] | None,
    typer.Option(
        help="Car file (TOML): one for all boards, or one for each, --cable before --radio."
        " Without it, a board's last car is taken."
    ),
]
PlaySpeed = Annotated[
    float, typer.Option(min=0.0, max=10_000.0, help="How fast to play it; 0 is as fast as it goes.")
]


def record(
    car: CarFiles = None,
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    cable: Cables = None,
    radio: Radios = None,
    every: Annotated[
        bool, typer.Option("--all", help="Every board that is plugged in, now or later.")
    ] = False,
    replay: Annotated[
        Path | None, typer.Option(help="Play a captured file instead of a board.")
    ] = None,
    speed: PlaySpeed = 1.0,
    store: StoreName = None,
    hand_over: HandOverTo = None,
    port: Port = None,
    page: Page = True,
    browser: Browser = False,
    share: Share = False,
    certificate: CertificateFile = None,
    key: KeyFile = None,
    radio_service: RadioService = None,
    radio_notify: RadioNotify = None,
    radio_write: RadioWrite = None,
    radio_rate: RadioRate = None,
    radio_response: RadioResponse = None,
) -> None:
    """Record runs of one car or of several and show them live, until Ctrl-C."""
    from unspool.cli.all_boards import AllBoards
    from unspool.cli.session import RecordingSession, Wanted

    pages = PageOptions(port, browser, share, certificate_of(certificate, key)) if page else None
    cars = [_recorded(file, track) for file in car or []]
    module = RadioModule(radio_service, radio_notify, radio_write, radio_rate, radio_response)
    if replay is not None:
        _refuse_beside_replay(bool(cable or radio or every), len(cars))
        links = [_played(replay, speed)]
    else:
        links = _ways(cable, radio, module, cars, every=every)
    wanted = [Wanted(*one) for one in zip(links, _for_each(cars, len(links)), strict=True)]
    with open_store(store) as opened, handing_over(opened, hand_over):
        watch = AllBoards() if every else None
        session = RecordingSession(wanted, opened, _print_result, every=watch)
        session.run(pages)
    if not session.saved:
        print("no run was recorded")


def _ways(
    cable: list[str] | None,
    radio: list[str] | None,
    module: RadioModule,
    cars: Sequence[RecordedCar],
    *,
    every: bool,
) -> list[Link]:
    """every: those by cable are found while it records."""
    if not every:
        return ways_to_boards(cable or (), radio or (), module)
    _refuse_beside_all(cable, cars)
    return ways_to_boards((), radio or (), module) if radio else []


def _recorded(car: Path, track: Path | None) -> RecordedCar:
    from unspool.app import RecordedCar
    from unspool.car import FLAT, parse_car, parse_track
    from unspool.car.toml_source import read_text

    car_text = read_text(car)
    track_text = None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car))
    the_track = FLAT if track_text is None else parse_track(track_text, str(track))
    return RecordedCar(the_car, the_track, car_text, track_text)


def _for_each(cars: list[RecordedCar], boards: int) -> Sequence[RecordedCar | None]:
    if len(cars) < 2:
        return [cars[0] if cars else None] * boards
    if len(cars) != boards:
        from unspool.render.words.values import counted

        there = f"there are {len(cars)} cars for {counted(boards, 'board')}"
        raise InputError(f"{there}; give one --car for all of them, or one for each")
    return cars


def _refuse_beside_replay(others: bool, cars: int) -> None:
    if others:
        raise InputError(
            "--replay plays a file in place of a board; leave --cable, --radio and --all out"
        )
    if cars != 1:
        raise InputError("--replay needs one --car; give the car's file")


def _refuse_beside_all(cable: list[str] | None, cars: Sequence[RecordedCar]) -> None:
    if cable:
        raise InputError("--all takes every port; leave --cable out")
    if cars:
        raise InputError("--all takes the car that each board had last; leave --car out")


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
