"""A contest day: eight boards, five teams, a judge's phone, a projector, and what goes wrong.

The boards are the firmware's core over pseudo-terminals. A station records three of them into its
own file. It is killed in the middle of a run, and cut off the shared store for a while. So is the
judge's phone. At the end the ranking is what the generator knows, and no edge is missing.
"""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app_parts import car_text
from board_rig import wait_for
from chromium import DESK, PHONE, chromiums
from database_server import DatabaseServer, running
from e2e.contest_day import kept, plan
from e2e.contest_day.boards import Boards
from e2e.contest_day.station import Station
from network import AppNetwork, DatabaseNetwork
from unspool.app import LiveBoards, PageServer, Recordings, Trackside, create_app
from unspool.app.boards import Boards as Offered
from unspool.app.boards import OwnBoard
from unspool.cli.entry import run
from unspool.instrument.link import Link
from unspool.instrument.link.serial import SerialLink
from unspool.judging import contest_in
from unspool.store import BoardCar, Server, Store
from unspool.virtual.demo.scenario import CORRIDOR

pytestmark = pytest.mark.browser

SPEED = 32.0
PHONE_CUT, PENALISED, STATION_CUT, STATION_MENDED = 3, 4, 7, 11  # attempts, in their order
RULES = f"""
[[penalties]]
name = "{plan.PENALTY}"
metres = {plan.PENALTY_M}
"""


@dataclass
class Day:
    """A contest under way. place: the shared store."""

    place: Server
    store: Store
    boards: Boards
    station: Station
    wire: DatabaseNetwork
    air: AppNetwork
    phone: Page
    projector: Page
    killed: tuple[str, int] | None = None
    errors: list[str] = field(default_factory=list)

    @property
    def team_of(self) -> dict[int, str]:
        contest = contest_in(self.store, "1")
        return {n: contest.teams[one.team] for n, one in contest.entries.items()}


@pytest.fixture(scope="module")
def server() -> Iterator[DatabaseServer]:
    with running() as started:
        yield started


@pytest.fixture(autouse=True)
def _patience() -> Iterator[None]:
    """Two browsers, eight boards and a database share the machine with other tests."""
    expect.set_options(timeout=30_000)
    yield
    expect.set_options(timeout=5_000)


@contextmanager
def opened(folder: Path, server: DatabaseServer) -> Iterator[Day]:
    with ExitStack() as stack:
        place = stack.enter_context(server.fresh())
        store = stack.enter_context(Store.open(place))
        _set_up(folder, place, store)
        boards = stack.enter_context(Boards(folder, plan.BOARDS, SPEED))
        near = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="unspool-net-")))
        wire = stack.enter_context(DatabaseNetwork(near, server.folder))
        station = Station(
            folder,
            [boards.ports[k] for k in plan.THERE],
            [folder / f"{plan.CARS[team]}.toml" for team in plan.TEAMS[: len(plan.THERE)]],
            place.url.replace(str(server.folder), str(near)),
            SPEED,
        )
        stack.callback(station.close)
        trackside = _trackside(store, boards)
        stack.callback(trackside.close)
        app = stack.enter_context(PageServer(create_app(store, trackside=trackside), port=0))
        trackside.start_all()
        air = stack.enter_context(AppNetwork(app.address))
        phone, hall = stack.enter_context(chromiums(PHONE, DESK, touch=True))
        yield Day(place, store, boards, station, wire, air, phone.pages[0], hall.pages[0])


def _set_up(folder: Path, place: Server, store: Store) -> None:
    (folder / "rules.toml").write_text(RULES)
    lines = ["team,car", *(f"{team},{car}" for team, car in plan.CARS.items())]
    (folder / "cars.csv").write_text("\n".join(lines))
    files = ["--rules", str(folder / "rules.toml"), "--entries", str(folder / "cars.csv")]
    assert run(["contest", "make", "Corridor cup", *files, "--store", place.url]) == 0
    assert run(["contest", "order", "1", "--seed", "corridor", "--store", place.url]) == 0
    store.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
    for k, (team, car) in enumerate(plan.CARS.items()):
        (folder / f"{car}.toml").write_text(car_text(car))
        store.cars.save(car_text(car), car, team)
        store.remember_car(k + 1, BoardCar(car, "Corridor"))


def _trackside(store: Store, boards: Boards) -> Trackside:
    def link(port: str) -> Link:
        made = SerialLink(port)
        made.pace = SPEED
        return made

    own = {
        f"own-{k}": OwnBoard(f"Board {k}", "", lambda k=k: link(boards.ports[k])) for k in plan.HERE
    }
    lives = LiveBoards()
    return Trackside(store, lives, Recordings(store, lives), Offered(own))


def test_a_contest_day(tmp_path: Path, server: DatabaseServer) -> None:
    with opened(tmp_path, server) as day:
        _open_pages(day)
        order = [
            (day.team_of[entry], attempt)
            for attempt in range(1, plan.ATTEMPTS + 1)
            for entry in contest_in(day.store, "1").order
        ]
        penalty = {order[PENALISED]: plan.PENALTY_M}
        for number, (team, attempt) in enumerate(order):
            _call(day, team, attempt)
            _let_run(day, team, attempt)
            _judge(day, team, attempt, number)
            best = max(plan.scores(team, penalty)[:attempt])
            line = day.projector.locator(".turn li").filter(has_text=team)
            expect(line.locator("> b")).to_have_text(f"{best:.2f}\u00a0m")
        assert "handed over later" in day.station.end()
        _ranking_everywhere(day, tmp_path, plan.ranking(penalty))
        _nothing_lost(day)
        _wheels_agree(day)
        assert day.errors == []


def _open_pages(day: Day) -> None:
    for page in (day.phone, day.projector):
        page.on("pageerror", lambda error: day.errors.append(str(error)))
    day.projector.goto(f"{day.air.address}contest/1/board")
    day.phone.goto(f"{day.air.address}contest/1/judge")
    day.phone.get_by_label("Your name").fill("Ada")


def _call(day: Day, team: str, attempt: int) -> None:
    day.phone.get_by_role("button", name="Call the next").tap()
    called = day.phone.locator(".called")
    expect(called.locator("h2").first).to_have_text(f"{team} {plan.CARS[team]}")
    expect(called).to_contain_text(f"Attempt {attempt} of {plan.ATTEMPTS}")
    expect(day.projector.locator(".now")).to_contain_text(team)


def _let_run(day: Day, team: str, attempt: int) -> None:
    """The station is killed in the middle of its first run."""
    board, script = plan.board_of(team, attempt), plan.script_of(team, attempt)
    before = day.boards.played[board]
    day.boards.play(board, script.edges)
    if board in plan.THERE and day.killed is None:
        day.boards.until(board, before + len(script.edges) * 2 // 3)
        day.station.kill()
        day.station.begin()
        day.killed = team, attempt
        wait_for(lambda: "run 1:" in day.station.said, "the run that was under way")
    day.boards.rested(board)


def _judge(day: Day, team: str, attempt: int, number: int) -> None:
    """The station loses the network from one attempt to another, and the phone at one."""
    if number == STATION_CUT:
        day.wire.cut()
    if number == STATION_MENDED:
        day.wire.mend()
    metres = f"{plan.tape_of(team, attempt):.2f}"
    box, keep = (
        day.phone.get_by_label("Distance by tape"),
        day.phone.get_by_role("button", name="Keep the distance"),
    )
    box.fill(metres.replace(".", ","))
    if number == PHONE_CUT:
        day.air.cut()
        expect(day.phone.locator("[data-banner=headline]")).to_contain_text("No connection")
        keep.tap(force=True)  # the page refuses it
        day.air.mend()
    keep.tap()
    expect(day.phone.locator(".measured")).to_contain_text(f"Tape: {metres}")
    if number == PENALISED:
        day.air.lose_answers(b"POST /contest/1/say")
        day.phone.get_by_role("button", name=plan.PENALTY).tap()
        expect(day.phone.locator(".measured")).to_contain_text("Penalty")


def _ranking_everywhere(day: Day, folder: Path, expected: list[plan.Place]) -> None:
    """On the projector, on the judge's phone, and in the table that the command writes."""
    day.phone.goto(f"{day.air.address}contest/1/board")
    for page in (day.projector, day.phone):
        lines = page.locator(".turn").first.locator("li")
        expect(lines).to_have_count(len(expected))
        for line, one in zip(lines.all(), expected, strict=True):
            expect(line.locator(".place")).to_contain_text(str(one.place))
            expect(line.locator(".who b")).to_have_text(one.team)
            expect(line.locator("> b")).to_have_text(f"{one.score:.2f}\u00a0m")
    out = folder / "results.csv"
    words = ["contest", "export", "1", "results", "--out", str(out)]
    assert run([*words, "--store", day.place.url]) == 0
    with out.open(encoding="utf-8-sig") as file:
        rows = [(row["Place"], row["Team"], row["Score in m"]) for row in csv.DictReader(file)]
    assert rows == [(str(one.place), one.team, f"{one.score:.2f}") for one in expected]


def _nothing_lost(day: Day) -> None:
    """Every edge that any board played, and each attempt once, with all its edges."""
    played = {k + 1: set(range(count)) for k, count in enumerate(day.boards.played)}
    assert kept.edges_in_captures(day.store) == played
    runs = kept.trains_by_car(day.store)
    assert {car: len(trains) for car, trains in runs.items()} == dict.fromkeys(
        plan.CARS.values(), plan.ATTEMPTS
    )
    for team, car in plan.CARS.items():
        for attempt in range(1, plan.ATTEMPTS + 1):
            true = plan.script_of(team, attempt).truths[0].train
            assert [kept.holds(one, true) for one in runs[car]].count(True) == 1, (car, attempt)


def _wheels_agree(day: Day) -> None:
    """The moment of the run that was killed is known on boards that keep real time alone."""

    def missing() -> set[tuple[str, int]]:
        entries = contest_in(day.store, "1").entries.values()
        every = [(one.entry, one) for entry in entries for one in entry.made()]
        return {(day.team_of[entry], one.number) for entry, one in every if one.wheel is None}

    wait_for(lambda: missing() <= {day.killed}, "the wheels of the station's runs")
    for entry in contest_in(day.store, "1").entries.values():
        for one in entry.made():
            far = plan.tape_of(day.team_of[entry.number], one.number)
            assert one.wheel is None or one.wheel.furthest_m == pytest.approx(far, abs=0.02)
