"""Debian's Chromium, driven by Playwright, as the tests, the benchmarks and the pictures use it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import BrowserContext, sync_playwright

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


@contextmanager
def chromium(width: int = 1280, height: int = 800, scale: float = 1.0) -> Iterator[BrowserContext]:
    """A browser of its own, with one blank page open."""
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as profile:
        context = playwright.chromium.launch_persistent_context(
            profile,
            executable_path=CHROMIUM,
            args=FLAGS,
            viewport={"width": width, "height": height},
            device_scale_factor=scale,
        )
        try:
            yield context
        finally:
            context.close()
