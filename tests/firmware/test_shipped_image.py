"""The image in the package is what the sources build: nobody is given yesterday's firmware."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

import unspool
from unspool.instrument.firmware import build_image, shipped_image
from unspool.instrument.firmware.build import SOURCES

pytestmark = pytest.mark.firmware

STALE = "run: python firmware/ship.py"
BOOT_LOADER_BYTES = 2048  # the largest in use on these boards
FLASH_BYTES = 32768


@pytest.fixture(scope="module")
def ship() -> ModuleType:
    spec = importlib.util.spec_from_file_location("ship", SOURCES / "ship.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_made_from_these_sources(ship: ModuleType) -> None:
    assert shipped_image().sources == ship.sources(), STALE
    assert shipped_image().firmware == f"atmega328p {unspool.__version__}", STALE


def test_built_the_same_by_the_same_compiler(ship: ModuleType) -> None:
    """Another compiler may order its instructions otherwise; the sources are compared above."""
    assert (shipped_image().path.read_bytes() == build_image().read_bytes()) or (
        ship.compiler() != shipped_image().compiler
    ), STALE


def test_changed_source_is_noticed(
    ship: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for file in (SOURCES / "Makefile", *SOURCES.glob("core/*"), *SOURCES.glob("boards/*/*")):
        copy = tmp_path / file.relative_to(SOURCES)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(file.read_bytes())
    monkeypatch.setattr(ship, "SOURCES", tmp_path)
    assert ship.sources() == shipped_image().sources
    (tmp_path / "core" / "log.h").write_text("/* another */")
    assert ship.sources() != shipped_image().sources


def test_leaves_the_boot_loader_its_place() -> None:
    end = 0
    for record in shipped_image().path.read_text().split():
        raw = bytes.fromhex(record[1:])
        assert sum(raw) % 256 == 0
        assert raw[3] in (0, 1, 3), "data, end, start address: no address beyond 64 KiB"
        if raw[3] == 0:
            end = max(end, int.from_bytes(raw[1:3], "big") + raw[0])
    assert 8_000 < end <= FLASH_BYTES - BOOT_LOADER_BYTES
