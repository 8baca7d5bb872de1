"""Pictures of pages stay small, and each is shown somewhere."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]
SCREENS = sorted((ROOT / "docs" / "pictures").glob("*.webp"))
MOST_BYTES = 150_000


def test_pictures_of_pages_are_small() -> None:
    sizes = {picture.name: picture.stat().st_size for picture in SCREENS}
    assert sizes
    assert {name: size for name, size in sizes.items() if size > MOST_BYTES} == {}


def test_each_picture_of_a_page_is_shown() -> None:
    pages = [ROOT / "README.md", *(ROOT / "docs").glob("*.md")]
    text = "".join(page.read_text("utf-8") for page in pages)
    assert [picture.name for picture in SCREENS if picture.name not in text] == []
