"""Two boards at once on Track: one is pulled in its run, and the other is not disturbed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from app_parts import car_text
from board_rig import assert_whole, powered
from chromium import chromium
from unspool.app import LiveBoards, PageServer, Recordings, Trackside, create_app
from unspool.app.boards import Boards, OwnBoard
from unspool.instrument.link import Link
from unspool.instrument.link.serial import SerialLink
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.scenario import CORRIDOR, corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

pytestmark = pytest.mark.browser

SPEED = 4.0
SLOW_MS = 60_000
CARS = ("Sandpiper", "Dunlin")


@pytest.fixture(scope="module")
def script() -> WheelScript:
    return wheel_script(sandpiper(), corridor(), runs=1, seed=3, first_s=8.0)


@pytest.fixture
def ports(tmp_path: Path) -> Iterator[list[PseudoTerminal]]:
    made = [PseudoTerminal(tmp_path / f"port-{k}") for k in range(2)]
    yield made
    for port in made:
        port.close()


def _own(port: PseudoTerminal) -> OwnBoard:
    def link() -> Link:
        made = SerialLink(port.port)
        made.pace = SPEED
        return made

    return OwnBoard(f"Board on {Path(port.port).name}", "invented", link)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        for name in CARS:
            opened.cars.save(car_text(name), name, "Ada")
        opened.tracks.save(CORRIDOR.read_text("utf-8"), "Corridor", "Ada")
        yield opened


@pytest.fixture
def page(store: Store, ports: list[PseudoTerminal]) -> Iterator[Page]:
    lives = LiveBoards()
    own = Boards({f"own-{k}": _own(port) for k, port in enumerate(ports)})
    trackside = Trackside(store, lives, Recordings(store, lives), own)
    with ExitStack() as stack:
        stack.callback(trackside.close)
        server = stack.enter_context(PageServer(create_app(store, trackside=trackside), port=0))
        browser = stack.enter_context(chromium())
        opened = browser.pages[0]
        opened.goto(server.address)
        yield opened


def _choose(page: Page, car: str, board: str) -> None:
    for name, label in (("board", board), ("car", car), ("floor", "Corridor")):
        page.locator(f"[data-choice={name}] label").filter(has_text=label).first.click()
    page.get_by_role("button", name="Start the recording").click()


def _line(page: Page, car: str) -> Locator:
    return page.locator(".boards li").filter(has_text=car)


def _headline(page: Page, text: str | re.Pattern[str]) -> None:
    expect(page.locator("[data-banner=headline]")).to_have_text(text, timeout=SLOW_MS)


def test_a_board_that_is_pulled_disturbs_no_other(
    page: Page, store: Store, ports: list[PseudoTerminal], script: WheelScript
) -> None:
    _choose(page, "Sandpiper", "port-0")
    # A single board is shown at once, and nothing on its page is of others.
    expect(page.locator("#track .plot")).to_be_visible()
    expect(page.locator(".beside")).to_be_hidden()
    page.get_by_text("Recording Sandpiper").click()
    page.get_by_role("link", name="Record another board").click()
    expect(page.locator("h1")).to_have_text("Boards")
    _choose(page, "Dunlin", "port-1")
    watching = page.context.new_page()
    watching.goto(page.url)
    watching.get_by_role("link", name="Dunlin").click()
    expect(watching.locator(".beside")).to_contain_text("All 2 boards")
    with ExitStack() as stack:
        for k, port in enumerate(ports):
            stack.enter_context(powered(port, script.edges, SPEED, identity=0x11 * (k + 1)))
        expect(_line(page, "Dunlin")).to_contain_text("Board 00000022")
        expect(_line(page, "Sandpiper")).to_contain_text("Board 00000011")
        _pulled(page, watching, ports[0])
    rows = {row.car: row for row in store.runs()}
    for car in CARS:
        assert_whole(store.run(rows[car].id), script)
    _end(watching, page)


def _pulled(page: Page, watching: Page, port: PseudoTerminal) -> None:
    """page: shows both boards; watching: the one that is not pulled."""
    _headline(watching, "Running")
    port.unplug()
    expect(_line(page, "Sandpiper")).to_contain_text("Link lost since", timeout=SLOW_MS)
    _headline(page, re.compile("^Sandpiper: Link lost since"))
    expect(_line(page, "Dunlin")).to_contain_text("Attempt over", timeout=SLOW_MS)
    expect(_line(page, "Dunlin").locator("a").last).to_contain_text(re.compile(r"1st: \d"))
    _headline(watching, "Attempt over")
    expect(watching.locator("[data-live=lost]")).to_contain_text("no edge missed")
    port.plug()
    expect(_line(page, "Sandpiper")).to_contain_text("Attempt over", timeout=SLOW_MS)


def _end(watching: Page, page: Page) -> None:
    """The other one goes on, and its page stays."""
    watching.get_by_text("Recording Dunlin").click()
    watching.get_by_role("button", name="End the recording").click()
    expect(watching.locator("h1")).to_have_text("This board is not recorded now")
    expect(page.locator(".boards li")).to_have_count(1)
    expect(_line(page, "Sandpiper")).to_contain_text("Attempt over")
