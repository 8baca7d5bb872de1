"""The winding card on paper: one sheet, all figures, names as they are written."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from chromium import chromium
from unspool.car import FLAT, Car, Tier, Track
from unspool.language import LANGUAGES, _, in_language
from unspool.render.card.html import card_html
from unspool.render.card.pdf import card_pdf
from unspool.render.card.words import cautions, facts, string_words, strip_rows
from unspool.render.words.safety import AT_THE_TRACK
from unspool.study.plan import Aim, Goal
from unspool.study.plan.winding_card import WindingCard, winding_card
from unspool.virtual.demo import scenario

ODD_NAME = "Żuk Жук Ωμέγα <b>&amp;</b> “x”"


def many_tiers() -> Car:
    drum = tuple(
        Tier(f"tier {k} of a name that is far too long for any sheet", r, 0.3, r)
        for k, r in enumerate(0.012 - 0.0002 * i for i in range(28))
    )
    return replace(scenario.sandpiper(), name=ODD_NAME, drum=drum)


def cards() -> list[WindingCard]:
    free = replace(scenario.sandpiper().losses, rolling_coefficient=0.0, constant_drag_n=0.0)
    return [
        winding_card(scenario.dunlin(), scenario.corridor()),
        winding_card(many_tiers(), replace(FLAT, name="long " * 15)),
        winding_card(replace(scenario.sandpiper(), losses=free)),
        winding_card(replace(scenario.sandpiper(), weight_mass_kg=0.01)),
    ]


def pdf_text(made: WindingCard) -> str:
    reader = PdfReader(BytesIO(card_pdf(made)))
    assert len(reader.pages) == 1
    return reader.pages[0].extract_text().replace("\u00a0", " ")


class Words(HTMLParser):
    """The text of a page, its tags, and whatever it would fetch."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text, self.fetched = "", []
        self.feed(page)

    def handle_data(self, data: str) -> None:
        self.text += data.replace("\u00a0", " ") + "\n"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "link", "img", "iframe") or {"src", "href"} & dict(attrs).keys():
            self.fetched.append(tag)


@pytest.mark.parametrize("made", cards(), ids=["usual", "many tiers", "endless", "no start"])
def test_every_card_is_one_sheet_in_pdf(made: WindingCard) -> None:
    text = pdf_text(made)
    for heading in ("Wind", "Run", "Split times", "Mind", "Measured"):
        assert heading in text


def test_both_forms_say_all_figures() -> None:
    made = winding_card(scenario.dunlin(), scenario.corridor())
    for text in (pdf_text(made), Words(card_html(made)).text):
        for told in ("Dunlin on Corridor", "191 mm", "375 mm", "500 mm", "13.0 mm", "4.5",
                     "to middle", "0.66 m", "release", "14.3 m", "10 m", "8.57 s",
                     "from under the weight"):  # fmt: skip
            assert told in text, told


def test_the_same_card_gives_the_same_bytes() -> None:
    made = winding_card(scenario.dunlin())
    assert card_pdf(made) == card_pdf(made)


def test_names_are_written_as_they_are() -> None:
    made = winding_card(replace(scenario.dunlin(), name=ODD_NAME))
    assert ODD_NAME in pdf_text(made)
    page = card_html(made)
    assert "<b>" not in page
    assert ODD_NAME in Words(page).text


def test_the_page_needs_nothing_else() -> None:
    page = card_html(winding_card(scenario.dunlin()))
    assert Words(page).fetched == []
    assert not re.search(r"url\(|@import|https?:", page)


@pytest.mark.parametrize("code", LANGUAGES)
def test_a_card_speaks_the_language_asked_for(code: str) -> None:
    made = winding_card(scenario.dunlin(), scenario.corridor(), day=date(2026, 11, 28))
    with in_language(code):
        paper, page, heads = pdf_text(made), card_html(made), [_("Split times"), _("Mind")]
    assert f'<html lang="{code}"' in page
    for text in (paper, Words(page).text):
        assert all(head in text for head in heads)
        assert ("from under the weight" in text) == (code == "en")
        assert ("0.66 m" in text) == (code == "en")


@pytest.mark.browser
def test_every_card_is_one_sheet_from_the_browser(tmp_path: Path) -> None:
    with chromium() as context:
        page = context.pages[0]
        for made in cards():
            page.set_content(card_html(made))
            for paper in ("A4", "Letter", "A5"):
                pdf = page.pdf(format=paper)
                assert len(PdfReader(BytesIO(pdf)).pages) == 1, (made.car.name, paper)
            # On a postcard what is wound stands alone; the rest is on its back.
            small = PdfReader(BytesIO(page.pdf(format="A6"))).pages
            assert "Wind" in small[0].extract_text()
            assert "Split times" not in small[0].extract_text()


def test_a_card_names_car_weight_goal_losses_and_day() -> None:
    made = winding_card(scenario.dunlin(), scenario.corridor(), day=date(2026, 11, 28))
    asked = dict(facts(replace(made, goal=Goal(Aim.REACH, 12.5), learnt_from=("a", "b"))))
    assert (asked["car"], asked["floor"], asked["made on"]) == ("Dunlin", "Corridor", "28 Nov 2026")
    assert "450\u00a0g" in asked["weight"]
    assert "12.50\u00a0m" in asked["goal"]
    assert asked["losses"] == "from a; b"
    assert "goal" not in dict(facts(made))
    text, shown = pdf_text(made), Words(card_html(made)).text
    assert all(value.replace("\u00a0", " ") in text for value in dict(facts(made)).values())
    assert all(value.replace("\u00a0", " ") in shown for value in dict(facts(made)).values())


def test_what_can_hurt_stands_last_on_every_card() -> None:
    for made in cards():
        assert tuple(cautions(made)[-len(AT_THE_TRACK) :]) == AT_THE_TRACK
        assert len(cautions(made)) == len(AT_THE_TRACK) + len(made.prediction.findings)


def test_string_and_drop_in_words() -> None:
    car = scenario.dunlin()
    for turns, told in (
        ((1.5, 3.0, 4.5), "9 turns, 500 mm of string: all of the drop."),
        ((1.5, 3.0, 3.0), "436 mm of string for a drop of 500 mm: 64 mm stay unused."),
        ((2.5, 3.0, 4.5), "the weight lands before it is off."),
    ):
        assert told in string_words(winding_card(car, FLAT, turns)).replace("\u00a0", " ")


def test_labels_stand_below_their_followers() -> None:
    near = [(0.05, "a"), (0.14, "b"), (0.28, "c"), (1.0, "d")]
    assert strip_rows(near) == [2, 1, 0, 0]
    assert strip_rows([(i / 9, "x") for i in range(9)]) == []
    assert strip_rows([]) == []


def test_a_track_without_way_draws() -> None:
    still = winding_card(
        replace(scenario.sandpiper(), weight_mass_kg=0.01), Track("up", (0.0,), (0.0,), 1.2)
    )
    assert "does not start" in card_html(still)
