"""From dropped files to a card on paper, in one session: compare, calibrate, plan, print."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from chromium import DESK, chromium, quiet_page
from e2e.test_accessibility import AXE, look
from unspool.app import PageServer, create_app
from unspool.bundle import bundle_bytes
from unspool.reading.edges.edge_file import edge_text
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run

pytestmark = pytest.mark.browser

CAR, FLOOR = SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")
SLOW_MS = 60_000
DROP = """([name, data]) => {
  const carried = new DataTransfer();
  const bytes = Uint8Array.from(atob(data), one => one.charCodeAt(0));
  carried.items.add(new File([bytes], name));
  const at = { dataTransfer: carried, bubbles: true, cancelable: true };
  document.body.dispatchEvent(new DragEvent("dragover", at));
  document.body.dispatchEvent(new DragEvent("drop", at));
}"""


@dataclass(frozen=True)
class Dropped:
    """An edge file of the car as it is, and a bundle of three attempts of two windings."""

    edges: bytes
    bundle: bytes


@pytest.fixture
def dropped(tmp_path: Path) -> Dropped:
    with Store.open(tmp_path / "elsewhere.sqlite") as store:
        for seed, turns in enumerate((3.5, 2.5, 2.5)):
            text = CAR.replace("turns = 3.5", f"turns = {turns}")
            store.add_import(_train(turns, seed), text, FLOOR, source=f"{seed}.csv")
        bundle = bundle_bytes([store.carry(row.id) for row in store.runs()])
    return Dropped(edge_text(_train(3.5, 3)).encode(), bundle)


def _train(turns: float, seed: int) -> PulseTrain:
    return true_run(sandpiper().wound((turns, 5.3)), corridor(), USUAL, seed=seed).train


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s.sqlite") as opened:
        opened.cars.save(CAR, "Sandpiper", "Ada")
        yield opened


def test_from_dropped_files_to_a_card(store: Store, dropped: Dropped, tmp_path: Path) -> None:
    with (
        PageServer(create_app(store), port=0) as server,
        chromium() as browser,
        quiet_page(browser, refused="409") as page,
    ):
        page.goto(server.address + "logbook")
        _drop(page, dropped)
        assert len(store.runs()) == 4
        _compare(page)
        before = store.cars.one("Sandpiper").versions
        _calibrate(page)
        assert len(store.cars.one("Sandpiper").versions) == len(before) + 1
        _plan(page)
        _print(page, tmp_path)


def _drop(page: Page, dropped: Dropped) -> None:
    """What is no edge file is refused with a sentence, and the others come in once."""
    said = page.locator("[data-dropped]")
    expect(said).to_be_attached()  # a drop before the page is there goes nowhere
    page.evaluate(DROP, ["photo.jpg", b64encode(b"no edges").decode()])
    expect(said).to_contain_text("photo.jpg", timeout=SLOW_MS)
    expect(said).to_be_in_viewport()  # though the form was folded
    assert said.inner_text().count("photo.jpg") == 1
    page.get_by_label("The car of the edge files").select_option("Sandpiper")
    files = {"note.txt": b"no edges", "a.csv": dropped.edges, "again.csv": dropped.edges}
    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name="Choose files").click()
    kind = "text/plain"
    chosen.value.set_files([{"name": n, "mimeType": kind, "buffer": d} for n, d in files.items()])
    expect(said).to_contain_text("again.csv", timeout=SLOW_MS)
    assert [one.partition(":")[0] for one in said.inner_text().splitlines()] == list(files)
    page.evaluate(DROP, ["all.zip", b64encode(dropped.bundle).decode()])
    expect(said).to_contain_text("all.zip", timeout=SLOW_MS)
    expect(page.get_by_role("link", name=re.compile("^Sandpiper, .*4th$"))).to_be_visible()


def _place(page: Page, name: str) -> None:
    page.locator("#places").get_by_role("link", name=name, exact=True).click()
    expect(page.locator("main .answer .first")).not_to_be_empty(timeout=SLOW_MS)
    expect(page.locator("h1")).to_contain_text(name)


def _compare(page: Page) -> None:
    """At hand are the newest attempts of the car; one of them is left out."""
    _place(page, "Side by side")
    rows = page.get_by_role("table", name="All 4 attempts").get_by_role("row")
    expect(rows).to_have_count(5)
    page.locator("summary", has_text="Choose other attempts").click()
    page.get_by_label(", 1st").uncheck()
    page.get_by_role("button", name="Set side by side").click()
    expect(page.get_by_role("table", name="All 3 attempts")).to_be_visible(timeout=SLOW_MS)
    expect(page.locator("#picture-speeds .main-svg").first).to_be_visible()
    _look(page)


def _look(page: Page) -> None:
    """As everybody sees it, and then as before."""
    page.evaluate(AXE)
    look(page)
    page.set_viewport_size({"width": DESK[0], "height": DESK[1]})


def _calibrate(page: Page) -> None:
    _place(page, "Losses")
    page.get_by_role("button", name="Write them into Sandpiper").click()
    expect(page.locator("[data-sent]")).not_to_be_empty()
    _look(page)
    page.get_by_role("link", name="Plan with these losses").click()


def _plan(page: Page) -> None:
    expect(page.locator("#picture-changes .main-svg").first).to_be_visible(timeout=SLOW_MS)
    expect(page.locator("main .answer .first")).to_have_text(re.compile(r"^Wind \d"))
    _look(page)


def _print(page: Page, folder: Path) -> None:
    """The card as a file, and its page as the browser prints it: one sheet each."""
    with page.expect_download(timeout=SLOW_MS) as waiting:
        page.get_by_role("link", name="Winding card (PDF)").click()
    ours, printed = Path(waiting.value.path()), folder / "printed.pdf"
    page.get_by_role("link", name="Winding card (page)").click()
    expect(page.locator("h1")).to_contain_text("Sandpiper")
    page.pdf(path=printed, format="A4")
    for paper in (ours, printed):
        data = paper.read_bytes()
        assert data.startswith(b"%PDF-")
        assert len(re.findall(rb"/Type\s*/Page\b", data)) == 1
