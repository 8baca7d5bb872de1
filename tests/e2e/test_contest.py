"""A contest in the browser: a judge's phone, a second judge, and a board that follows them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app_parts import filled_store, read_sample
from chromium import DESK, PHONE, chromium, chromiums
from e2e.test_accessibility import AXE, look
from unspool.app import PageServer, create_app
from unspool.judging import Judge, Organiser
from unspool.store import Store

pytestmark = pytest.mark.browser

RULES = """
[[penalties]]
name = "touched on the way"
metres = 0.5
[[classes]]
name = "light"
weight_max_g = 1200
[[classes]]
name = "open"
"""
HOSTILE = '<img src=x onerror="window.hacked=1">'


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper",)) as opened:
        made = Organiser.make(opened, "Ada", "Corridor cup", RULES)
        made.enter("Reed", "Sandpiper", "1100")
        made.enter(HOSTILE, "Dunlin", "1500")
        for team in ("Rushes", "Sedge", "Sorrel", "Yarrow"):
            made.enter(team, "Knot", "900")
        yield opened


def taped(page: Page, metres: str) -> None:
    page.get_by_label("Distance by tape").fill(metres)
    page.get_by_role("button", name="Keep the distance").click()


def reorder(page: Page) -> None:
    """By keyboard: the row takes it along, up to where it can go no further."""
    teams = page.locator("tbody th")
    page.get_by_label("Move up Rushes").focus()
    for place in (1, 0):
        page.keyboard.press("Enter")
        expect(teams.nth(place)).to_have_text("Rushes")
    expect(page.get_by_label("Move down Rushes")).to_be_focused()


AGAIN = "() => window.dash_clientside.set_props('again', {data: Date.now()})"


def test_what_is_typed_outlives_a_page_that_is_made_again(store: Store) -> None:
    """As when the wheel's result arrives while the judge types."""
    with PageServer(create_app(store, None, read_sample), port=0) as server, chromium(PHONE) as one:
        page = one.pages[0]
        page.goto(f"{server.address}contest/1/judge")
        page.get_by_role("button", name="Call the next").click()
        expect(page.locator(".called")).to_be_visible()
        page.get_by_label("Distance by tape").fill("12.5")
        page.evaluate(AGAIN)
        page.wait_for_timeout(1500)  # until the page is made again; nothing on it says so
        expect(page.get_by_label("Distance by tape")).to_have_value("12.5")


def test_two_judges_and_a_board_that_follows(store: Store) -> None:
    with (
        PageServer(create_app(store, None, read_sample), port=0) as server,
        chromiums(PHONE, DESK) as (phone, desk),
    ):
        home = f"{server.address}contest/1"
        ada, ben, board = phone.new_page(), desk.new_page(), desk.new_page()
        faults: list[str] = []
        for page in (ada, ben, board):
            page.on("pageerror", lambda error: faults.append(str(error)))
        board.goto(f"{home}/board")
        ada.goto(f"{home}/judge")
        ada.get_by_label("Your name").fill("Ada")
        ada.get_by_role("button", name="Call the next").click()
        expect(ada.locator(".called")).to_contain_text("Reed")
        expect(board.locator(".now")).to_contain_text("Reed")
        ben.goto(f"{home}/judge")
        ben.get_by_label("Your name").fill("Ben")
        ben.get_by_label("Distance by tape").fill("12,58")
        taped(ada, "12.61")
        expect(board.locator(".turn").first.locator("li > b").first).to_have_text("12.61\u00a0m")
        ben.get_by_role("button", name="Keep the distance").click()
        expect(ben.locator(".called [data-said]").first).to_contain_text("12.61")
        expect(ben.get_by_label("Distance by tape")).to_have_value("12,58")
        ben.get_by_role("button", name="Keep the distance").click()
        expect(board.locator(".turn").first.locator("li > b").first).to_have_text("12.58\u00a0m")
        expect(ada.locator(".measured")).to_contain_text("12.58")
        ada.get_by_role("button", name="touched on the way").click()
        expect(board.locator(".turn").first.locator("li > b").first).to_have_text("12.08\u00a0m")
        ada.get_by_role("button", name="Take back: Reed, Sandpiper, attempt 1: penalty").click()
        expect(board.locator(".turn").first.locator("li > b").first).to_have_text("12.58\u00a0m")
        ada.get_by_text("Make this attempt again").click()
        ada.get_by_label("Why it is made again").fill("A visitor stood in the lane")
        ada.get_by_role("button", name="Make it again").click()
        expect(board.locator(".after")).to_contain_text("Reed")
        ada.get_by_role("button", name="Take back: Reed, Sandpiper, attempt 1: is made").click()
        expect(board.locator(".last b")).to_have_text("12.58\u00a0m")
        board.set_viewport_size({"width": 1920, "height": 1080})
        assert board.locator(".turn").first.locator("li").count() == 5
        assert board.evaluate("document.documentElement.scrollHeight") <= 1080
        assert faults == []
        assert not board.evaluate("window.hacked")
        attempt = min(Judge(store, "1", "").contest.entries.values(), key=lambda one: one.number)
        assert attempt.attempts[1].tape_m == 12.58
        ada.goto(home)
        reorder(ada)
        for page, path in ((ada, "?car=4"), (ada, "/judge"), (board, "/board")):
            page.goto(f"{home}{path}")
            expect(page.locator("h1")).to_have_count(1)
            for fold in page.locator("main details > summary").all():
                fold.click()
            page.evaluate(AXE)
            look(page)
