"""Every page leads only to files and headings that are there."""

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


def headings(page: Path) -> set[str]:
    """The names by which links reach the page's headings: lower case, spaces to hyphens."""
    found = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in found}


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_to_headings(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target, heading in re.findall(r"\]\(([^)#\s:]*)#([^)]+)\)", text):
        other = page.parent / target if target else page
        assert heading in headings(other), f"{page.name} leads to {target}#{heading}"


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
