"""The image in the package is what the sources build: nobody is given yesterday's firmware."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

import unspool
from unspool.instrument.firmware import BOARDS, build_image, shipped_image
from unspool.instrument.firmware.build import SOURCES

pytestmark = pytest.mark.firmware

STALE = "run: python firmware/ship.py"
BOOT_LOADER_BYTES = 2048  # the largest in use on these boards


@pytest.fixture(scope="module")
def ship() -> ModuleType:
    spec = importlib.util.spec_from_file_location("ship", SOURCES / "ship.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("board", BOARDS)
def test_made_from_these_sources(ship: ModuleType, board: str) -> None:
    assert shipped_image(board).sources == ship.sources(), STALE
    assert shipped_image(board).firmware == f"{board} {unspool.__version__}", STALE


@pytest.mark.parametrize("board", BOARDS)
def test_built_the_same_by_the_same_compiler(ship: ModuleType, board: str) -> None:
    """Another compiler may order its instructions otherwise; the sources are compared above."""
    assert (shipped_image(board).path.read_bytes() == build_image(board).read_bytes()) or (
        ship.compiler(board) != shipped_image(board).compiler
    ), STALE


def test_changed_source_is_noticed(
    ship: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for file in (SOURCES / "Makefile", *SOURCES.glob("core/*"), *SOURCES.glob("boards/*/*.*")):
        copy = tmp_path / file.relative_to(SOURCES)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(file.read_bytes())
    monkeypatch.setattr(ship, "SOURCES", tmp_path)
    assert ship.sources() == shipped_image("atmega328p").sources
    (tmp_path / "core" / "log.h").write_text("/* another */")
    assert ship.sources() != shipped_image("atmega328p").sources


@pytest.mark.parametrize(
    ("board", "room"),
    [("atmega328p", 32_768), ("atmega328p-8mhz", 32_768), ("atmega2560", 65_536)],
)
def test_leaves_the_boot_loader_its_place(board: str, room: int) -> None:
    end = 0
    for record in shipped_image(board).path.read_text().split():
        raw = bytes.fromhex(record[1:])
        assert sum(raw) % 256 == 0
        assert raw[3] in (0, 1, 3), "data, end, start address: no address beyond 64 KiB"
        if raw[3] == 0:
            end = max(end, int.from_bytes(raw[1:3], "big") + raw[0])
    assert 8_000 < end <= room - BOOT_LOADER_BYTES
