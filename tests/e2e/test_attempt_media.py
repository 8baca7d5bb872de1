"""A video beside an attempt in Chromium: marked once at its launch, then both follow each other."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app_parts import filled_store, make_live_state, read_sample
from chromium import chromium, quiet_page
from unspool.app import LiveBoards, PageServer, create_app

pytestmark = pytest.mark.browser

# The browser itself makes a video of two seconds, as base64.
RECORD = """async () => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 96, height: 64 });
  const pen = canvas.getContext("2d");
  const recorder = new MediaRecorder(canvas.captureStream(15), { mimeType: "video/webm" });
  const parts = [];
  recorder.ondataavailable = (event) => parts.push(event.data);
  const ended = new Promise((done) => (recorder.onstop = done));
  recorder.start();
  for (let n = 0; n < 30; n += 1) {
    pen.fillStyle = `hsl(${n * 12} 80% 50%)`;
    pen.fillRect(0, 0, 96, 64);
    await new Promise((done) => setTimeout(done, 66));
  }
  recorder.stop();
  await ended;
  const bytes = new Uint8Array(await new Blob(parts).arrayBuffer());
  return btoa(String.fromCharCode(...bytes));
}"""


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Page]:
    with (
        filled_store(tmp_path) as store,
        PageServer(
            create_app(store, LiveBoards([make_live_state()]), read_sample), port=0
        ) as server,
        chromium() as browser,
        quiet_page(browser) as opened,
    ):
        opened.goto(server.address.rstrip("/") + "/attempts/1")
        opened.locator("#picture-speed .main-svg").first.wait_for()
        yield opened


def _choose(page: Page, name: str, kind: str, data: bytes) -> None:
    with page.expect_file_chooser() as chosen:
        page.get_by_role("button", name="Choose a file").click()
    chosen.value.set_files({"name": name, "mimeType": kind, "buffer": data})


# Which of the page's colours the lower half of a PNG has, where no film is.
COLOURS = """async (text) => {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const picture = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, picture.height * 0.6, picture.width, picture.height * 0.4);
  const found = new Set();
  for (let n = 0; n < data.length; n += 4) found.add(`${data[n]},${data[n + 1]},${data[n + 2]}`);
  const style = getComputedStyle(document.documentElement);
  return ["measured", "found", "ink"].filter((name) => {
    pen.fillStyle = style.getPropertyValue(`--${name}`);
    pen.fillRect(0, 0, 1, 1);
    return found.has([...pen.getImageData(0, 0, 1, 1).data].slice(0, 3).join());
  });
}"""


def _colours(page: Page, png: bytes) -> set[str]:
    """Those of the trace, of its mark and of the words."""
    return set(page.evaluate(COLOURS, base64.b64encode(png).decode()))


def test_a_video_follows_the_run_and_a_still_is_saved(page: Page) -> None:
    page.get_by_text("Video and photos").click()
    _choose(page, "note.txt", "text/plain", b"no video")
    expect(page.locator("[data-media-said]")).not_to_be_empty()
    clip = base64.b64decode(page.evaluate(RECORD))
    posts: list[str] = []
    page.on("request", lambda request: request.method == "POST" and posts.append(request.url))
    _choose(page, "run.webm", "video/webm", clip)
    page.wait_for_function("() => document.querySelector('.media video').readyState >= 2")
    page.evaluate("document.querySelector('.media video').currentTime = 0.5")
    page.wait_for_function("() => !document.querySelector('.media video').seeking")
    page.get_by_role("button", name="Mark the launch here").click()
    now = page.locator(".media .now")
    expect(now).to_have_text(re.compile(r"^0\.00 s .* 0\.\d\d m"))
    page.evaluate("document.querySelector('.media video').currentTime = 1.5")
    expect(now).to_have_text(re.compile(r"^1\.00 s"))
    line = page.locator(".moment")
    expect(line).to_have_count(1)
    before = line.bounding_box()
    assert before
    page.locator("#picture-speed .nsewdrag").click(position={"x": 3, "y": 60})
    expect(now).to_have_text(re.compile(r"^0\.\d\d s"))
    after = line.bounding_box()
    assert after
    assert after["x"] < before["x"]
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save this picture").click()
    data = Path(saved.value.path()).read_bytes()
    assert saved.value.suggested_filename.startswith("Sandpiper-")
    assert data.startswith(b"\x89PNG")
    width, height = (int.from_bytes(data[at : at + 4], "big") for at in (16, 20))
    assert (width, height > 480) == (720, True)  # the film, scaled, and what stands under it
    assert _colours(page, data) >= {"measured", "found", "ink"}
    assert posts == []
    page.reload()
    page.locator("#picture-speed .main-svg").first.wait_for()
    page.get_by_text("Video and photos").click()
    _choose(page, "run.webm", "video/webm", clip)
    expect(page.get_by_role("button", name="Mark the launch again")).to_be_visible()
