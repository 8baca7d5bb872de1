"""docs/trackside.md quotes warnings as unspool writes them, and lists every option of `ble:`."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from unspool.cli.links import FAIR_DBM, STRONG_DBM
from unspool.instrument.link.ble_address import PLANNED_RATE, parse_address
from unspool.instrument.record.health import LOW_3V3_V, LOW_5V_V

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "trackside.md").read_text(encoding="utf-8")
WARNINGS = re.findall(r"^\| `([^`]+)` \|", PAGE.partition("## What each warning means")[2], re.M)


def said(node: ast.expr) -> str:
    """A string as the user sees it, with … for what is filled in."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(said(part) for part in node.values)
    return "…"


@pytest.fixture(scope="module")
def sentences() -> list[str]:
    files = [
        p
        for part in ("instrument/link", "instrument/record", "cli", "render/text")
        for p in (ROOT / "host/unspool" / part).glob("*.py")
    ]
    nodes = [node for file in files for node in ast.walk(ast.parse(file.read_text("utf-8")))]
    return [said(n) for n in nodes if isinstance(n, ast.JoinedStr | ast.Constant)]


@pytest.mark.parametrize("warning", WARNINGS)
def test_warnings_are_quoted_as_they_are_said(warning: str, sentences: list[str]) -> None:
    assert any(warning in sentence for sentence in sentences)


def test_there_are_warnings_to_compare() -> None:
    assert len(WARNINGS) == 21


def test_options_are_those_that_exist() -> None:
    options = re.findall(r"^\| `(\w+)`(?:, `(\w+)`)? \|", PAGE, re.M)
    told = {option for pair in options for option in pair if option}
    values = {"rate": "100", "response": "no"}
    for option in told:
        parse_address(f"ble:x?{option}={values.get(option, 'FFE0')}")
    assert told == {"service", "notify", "write", "rate", "response"}


def test_specs_on_the_page_can_be_read() -> None:
    specs = re.findall(r'--link "?(ble:[^"\n`]+?)"?(?: --|`|\n)', PAGE)
    assert len(specs) >= 3
    for spec in specs:
        assert parse_address(spec).name.startswith("Sandpiper")


def test_figures_are_those_in_force() -> None:
    assert f"; {PLANNED_RATE} without it" in PAGE
    assert f"| {STRONG_DBM} dBm and more, `strong`" in PAGE
    assert f"| below {FAIR_DBM} dBm, `weak`" in PAGE
    assert f"below {LOW_5V_V:.1f} V" in PAGE
    assert f"{LOW_3V3_V:.1f} V on a 3.3 V board" in PAGE
