"""A judge's own PIN in the browser: given at the desk, typed on a phone, taken away again."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app_parts import filled_store, read_sample
from cheap_pins import cheap
from chromium import DESK, PHONE, chromiums
from e2e.test_accessibility import AXE, LEVELS, RUN, look
from network import AppNetwork
from unspool.app import Access, PageServer, Sharing, create_app
from unspool.judging import Organiser, events_in
from unspool.pins import give

__all__ = ["cheap"]
pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("cheap")]
HOSTILE = '<img src=x onerror="hacked=1">'
GUEST = "127.0.0.2"


def _given(page: Page, name: str, pin: str) -> None:
    page.get_by_label("PIN", exact=True).fill(pin)
    page.get_by_label("Name, if the PIN is your own").fill(name)
    page.get_by_role("button", name="Continue").click()


def test_a_judges_own_pin_from_the_desk_to_the_phone(tmp_path: Path) -> None:
    with filled_store(tmp_path, ("Sandpiper",)) as store:
        cup = Organiser.make(store, "Ada", "Cup")
        cup.enter("Reed", "Sandpiper")
        give(store, HOSTILE, "station", HOSTILE)
        dash = create_app(store, None, read_sample, Sharing(Access(shared=True)))
        with (
            PageServer(dash, port=0) as server,
            AppNetwork(server.address, GUEST) as network,
            chromiums(PHONE, DESK) as (phone, desk),
        ):
            owner, ana = desk.new_page(), phone.new_page()
            faults: list[str] = []
            for page in (owner, ana):
                page.on("pageerror", lambda error: faults.append(str(error)))
            owner.goto(f"{server.address}share/who")
            owner.get_by_label("Name").fill("Ana")
            owner.get_by_label("Role").select_option("judge")
            owner.get_by_role("button", name="Give a PIN").click()
            expect(owner.locator(".bigpin")).to_be_visible()
            pin = owner.locator(".bigpin").inner_text()
            owner.evaluate(AXE)
            look(owner)
            owner.get_by_role("button", name="I have written it down").click()
            take_away = owner.get_by_role("button", name="Take away the PIN of Ana")
            expect(take_away).to_be_visible()
            assert pin not in owner.content()

            judges = f"{network.address}contest/1/judge"
            ana.goto(judges)
            ana.get_by_role("link", name="PIN").click()
            ana.evaluate(AXE)
            assert ana.evaluate(RUN, LEVELS) == []
            _given(ana, HOSTILE, pin)
            expect(ana.get_by_text("That name and that PIN")).to_be_visible()
            _given(ana, "ana", pin)
            expect(ana).to_have_url(judges)
            expect(ana.get_by_text("You judge as Ana.")).to_be_visible()
            ana.get_by_role("button", name="Call the next").click()
            expect(ana.locator(".called")).to_contain_text("Reed")
            ana.goto(f"{network.address}share/who")
            expect(ana.get_by_text("You gave a judge's PIN.")).to_be_visible()
            assert ana.get_by_text("Ana").count() == 0

            take_away.click()
            expect(take_away).to_have_count(0)
            ana.goto(judges)
            expect(ana.get_by_role("link", name="PIN")).to_be_visible()
            assert faults == []
            assert not owner.evaluate("window.hacked")
        assert events_in(store, "1")[-1].who == f"Ana (with the PIN of judge Ana, from {GUEST})"
