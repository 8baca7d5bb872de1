"""Pictures of a contest's pages for docs/contest.md: the demo's contest, all invented."""

from __future__ import annotations

from guide_pictures import PATIENCE_MS, save
from playwright.sync_api import BrowserContext, expect


def picture_contest(address: str, desk: BrowserContext, phone: BrowserContext) -> None:
    """A judge measures an attempt and calls the next one; the board shows it."""
    home = f"{address}contest/1"
    judge, cars, board = phone.new_page(), desk.new_page(), desk.new_page()
    judge.goto(f"{home}/judge")
    judge.get_by_label("Distance by tape").fill("13.42", timeout=PATIENCE_MS)
    judge.get_by_role("button", name="Keep the distance").click()
    expect(judge.locator(".measured")).to_contain_text("13.42", timeout=PATIENCE_MS)
    judge.get_by_role("button", name="Call the next").click(timeout=PATIENCE_MS)
    expect(judge.locator(".called")).to_contain_text("Avocet", timeout=PATIENCE_MS)
    judge.mouse.move(0, 0)
    save(judge, "contest-judge")
    board.goto(f"{home}/board")
    expect(board.locator(".told.now")).to_contain_text("Avocet", timeout=PATIENCE_MS)
    save(board, "contest-board")
    cars.goto(home)
    expect(cars.locator("table")).to_be_visible(timeout=PATIENCE_MS)
    save(cars, "contest-cars")
    for page in (judge, board, cars):
        page.close()
