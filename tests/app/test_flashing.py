"""The firmware put on a simulated Pico from Track: its drive is a folder."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from unspool.app import create_app
from unspool.app.access import Access
from unspool.app.sharing import Sharing
from unspool.instrument.firmware import drive, shipped_image
from unspool.store import Store
from unspool.virtual.demo.simulated_chip import SimulatedBoard

pytestmark = pytest.mark.firmware

HOME = "http://127.0.0.1:8437"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "runs.sqlite") as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> Iterator[TestClient]:
    with TestClient(create_app(store).server, base_url=HOME) as opened:
        yield opened


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(drive, "MOUNTS", (f"{tmp_path}/media/*",))
    place = tmp_path / "media" / "RPI-RP2"
    place.mkdir(parents=True)
    (place / "INFO_UF2.TXT").write_text("Board-ID: RPI-RP2\n")
    return place


def ended(client: TestClient) -> dict[str, Any]:
    give_up = time.monotonic() + 60
    while (seen := client.get("/track/firmware/seen").json())["under_way"]:
        assert time.monotonic() < give_up
        time.sleep(0.02)
    return dict(seen)


def test_a_board_gets_its_firmware_unless_edges_on_it_would_be_lost(
    client: TestClient, folder: Path
) -> None:
    with SimulatedBoard(board="rp2040") as board:
        start = board.time_s + 1.5  # the chip goes on while a busy computer feeds it
        board.feed((start + i * 0.002, 1) for i in range(50))
        while board.time_s < start + 0.5:
            time.sleep(0.05)
        sent = {"board": f"cable:{board.port}", "kind": ""}
        assert client.post("/track/firmware", json=sent).status_code == 200
        assert client.post("/track/firmware", json=sent).status_code == 409
        assert client.post("/track/sensors", json=sent).status_code == 409
        refused = ended(client)
        assert refused["held"] == 50
        assert not (folder / "unspool.uf2").exists()
        assert client.post("/track/firmware", json=sent | {"lose": "yes"}).status_code == 200
        done = ended(client)
    assert done["fault"] == ""
    assert "rp2040" in done["said"][-1]
    copied = (folder / "unspool.uf2").read_bytes()
    assert copied == shipped_image("rp2040").path.read_bytes()


@pytest.mark.parametrize(
    "sent",
    [
        {"board": "radio:HM-10", "kind": ""},
        {"board": "cable:/dev/ttyUSB0", "kind": "z80"},
        {"board": "cable:/dev/ttyUSB0", "kind": ["rp2040"]},
    ],
)
def test_what_cannot_be_written_is_refused(client: TestClient, sent: dict[str, str]) -> None:
    assert client.post("/track/firmware", json=sent).status_code == 409


def test_a_port_that_is_not_there_is_said(client: TestClient) -> None:
    sent = {"board": "cable:/dev/ttyNONE", "kind": "rp2040"}
    assert client.post("/track/firmware", json=sent).status_code == 200
    assert "/dev/ttyNONE" in ended(client)["fault"]


def test_those_who_look_on_write_nothing(store: Store) -> None:
    server = create_app(store, sharing=Sharing(Access(shared=True))).server
    with TestClient(server, base_url="http://10.0.0.1", client=("10.0.0.9", 1)) as guest:
        assert guest.post("/track/firmware", json={}).status_code == 403
