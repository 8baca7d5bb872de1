"""Debian's Chromium, driven by Playwright, as the tests, the benchmarks and the pictures use it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DESK, PHONE = (1280, 800), (390, 844)


@contextmanager
def chromium(size: tuple[int, int] = DESK, *, touch: bool = False) -> Iterator[BrowserContext]:
    """A browser with one blank page open. touch: it has fingers, as a phone has."""
    with chromiums(size, touch=touch) as [context]:
        yield context


@contextmanager
def chromiums(*sizes: tuple[int, int], touch: bool = False) -> Iterator[list[BrowserContext]]:
    """A browser a size, each a program of its own: two windows of one would share its frames."""
    with sync_playwright() as playwright, ExitStack() as opened:
        yield [_launch(playwright, size, opened, touch) for size in sizes]


@contextmanager
def quiet_page(browser: BrowserContext, *, refused: str = "") -> Iterator[Page]:
    """A page that nothing may complain on. refused: words of a complaint that is expected."""
    complaints: list[str] = []
    opened = browser.new_page()
    opened.on("console", lambda m: m.type in ("error", "warning") and complaints.append(m.text))
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    yield opened
    opened.close()
    heard = [one for one in complaints if not (refused and refused in one)]
    assert heard == []


def _launch(
    playwright: Playwright, size: tuple[int, int], opened: ExitStack, touch: bool
) -> BrowserContext:
    profile = opened.enter_context(tempfile.TemporaryDirectory())
    context = playwright.chromium.launch_persistent_context(
        profile,
        executable_path=CHROMIUM,
        args=FLAGS,
        viewport={"width": size[0], "height": size[1]},
        has_touch=touch,
        is_mobile=touch,
    )
    opened.callback(context.close)
    return context
