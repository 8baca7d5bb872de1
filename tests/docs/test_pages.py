"""Every page leads only to files that are there, and the pin table is the firmware's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = sorted(
    page for page in [*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md"), *ROOT.glob("[fh]*ware/*.md")]
)


def links(page: Path) -> list[str]:
    """What the page leads to, other sites left out."""
    found = re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
    return [target for target in found if "://" not in target]


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in links(page):
        assert (page.parent / target).exists(), f"{page.name} leads to {target}"


def test_every_page_of_docs_is_led_to() -> None:
    led_to = {(page.parent / target).resolve() for page in PAGES for target in links(page)}
    assert {page for page in PAGES if page.parent == ROOT / "docs"} <= led_to


def test_folders_of_the_house_are_all_told() -> None:
    told = set(re.findall(r"`host/unspool/(\w+)/`", (ROOT / "DEVELOPERS.md").read_text()))
    there = {p.parent.name for p in (ROOT / "host" / "unspool").glob("*/__init__.py")}
    assert told == there


def test_pins_are_those_of_the_firmware() -> None:
    page = (ROOT / "hardware" / "README.md").read_text(encoding="utf-8")
    pins = dict(re.findall(r"^\| sensor ([AB]), output \| P([BD]\d)", page, re.MULTILINE))
    source = (ROOT / "firmware" / "boards" / "atmega328p" / "chip.h").read_text()
    assert pins.keys() == {"A", "B"}
    for sensor, (port, bit) in pins.items():
        assert f"#define {sensor}_PIN PIN{port}\n#define {sensor}_BIT {bit}\n" in source
    drawing = (ROOT / "hardware" / "wiring.svg").read_text(encoding="utf-8")
    for pin in pins.values():
        assert f"P{pin} (pin" in drawing
