"""What is made from the message table is not stale, and the page's numbers are the code's."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

from unspool.instrument.wire import prediction, table

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def generator() -> ModuleType:
    spec = importlib.util.spec_from_file_location("generate", ROOT / "firmware" / "generate.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_c_header_is_made_from_the_table(generator: ModuleType) -> None:
    assert generator.HEADER.read_text() == generator.header(), "run: python firmware/generate.py"


def test_the_protocol_page_is_made_from_the_table(generator: ModuleType) -> None:
    text = generator.PAGE.read_text()
    assert text == generator.page(text), "run: python firmware/generate.py"


def test_a_changed_table_changes_its_hash(monkeypatch: pytest.MonkeyPatch) -> None:
    before = table.canonical()
    monkeypatch.setattr(table, "BLOCK_BYTES", 128)
    assert table.canonical() != before


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("LONG_INTERVAL", prediction.LONG),
        ("HISTORY_MAX", prediction.SHORT_MAX),
        ("UNARY_LIMIT", prediction.UNARY_LIMIT),
        ("LENGTH_BITS", prediction.LENGTH_BITS),
        ("RICE_MAX", prediction.RICE_MAX),
        ("SPREAD_BY_LAST", prediction.SPREAD_START[prediction.BY_LAST]),
        ("SPREAD_BY_TURN", prediction.SPREAD_START[prediction.BY_TURN]),
    ],
)
def test_the_coder_s_constants_are_the_same_in_c(name: str, value: int) -> None:
    source = (ROOT / "firmware" / "core" / "coder.c").read_text()
    found = re.search(rf"#define {name} (?:UINT32_C\()?(0x[0-9A-F]+|\d+)", source)
    assert found is not None
    assert int(found[1], 0) == value
