"""docs/trackside.md quotes warnings as unspool writes them, and lists a radio's options."""

from __future__ import annotations

import ast
import inspect
import re
from pathlib import Path

import pytest

from render.words.instrument_findings import RECORD
from unspool.cli.record import record
from unspool.finding import Finding, Severity
from unspool.instrument.codes import RecordCode
from unspool.instrument.link.ble_address import PLANNED_RATE, ble_address
from unspool.instrument.wire.table import LOW_3V3_MV, LOW_5V_MV
from unspool.render.words.board import ENDINGS, FAIR_DBM, STRONG_DBM
from unspool.render.words.findings import sentence

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "trackside.md").read_text(encoding="utf-8")
WARNINGS = re.findall(r"^\| `([^`]+)` \|", PAGE.partition("## What each warning means")[2], re.M)


def said(node: ast.expr) -> str:
    """A string of an error as the user sees it, with … for what is filled in."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return re.sub(r"\{\w+\}", "…", node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(said(part) for part in node.values)
    return "…"


def link_errors() -> list[str]:
    """The errors of links, which carry their own sentences."""
    files = (ROOT / "host/unspool/instrument/link").glob("*.py")
    nodes = [node for file in files for node in ast.walk(ast.parse(file.read_text("utf-8")))]
    return [said(n) for n in nodes if isinstance(n, ast.JoinedStr | ast.Constant)]


def is_quoted(finding_text: str) -> bool:
    """Whether a row of the page quotes this sentence, or a part of it."""
    patterns = (".+".join(map(re.escape, warning.split("…"))) for warning in WARNINGS)
    return any(re.search(pattern, finding_text) for pattern in patterns)


TEXTS = [
    *(sentence(one) for one in RECORD if one.code != RecordCode.LINK_FAILED),
    *ENDINGS.values(),
]


@pytest.mark.parametrize("warning", WARNINGS)
def test_warnings_are_quoted_as_they_are_said(warning: str) -> None:
    pattern = re.compile(".+".join(map(re.escape, warning.split("…"))))
    found = any(pattern.search(text) for text in TEXTS)
    assert found or any(warning in text for text in link_errors())


@pytest.mark.parametrize("finding", [one for one in RECORD if one.severity is Severity.WARNING])
def test_every_warning_of_a_recording_is_on_the_page(finding: Finding) -> None:
    assert finding.code == RecordCode.LINK_FAILED or is_quoted(sentence(finding))


@pytest.mark.parametrize("text", ENDINGS.values())
def test_every_ending_that_cuts_a_run_is_on_the_page(text: str) -> None:
    assert is_quoted(text)


def test_options_are_those_that_exist() -> None:
    told = set(re.findall(r"`--(?:no-)?(radio-[a-z]+)`", PAGE))
    there = {name.replace("_", "-") for name in inspect.signature(record).parameters}
    assert told == {name for name in there if name.startswith("radio-")}


def test_names_on_the_page_can_be_meant() -> None:
    names = re.findall(r'--radio "?(Sandpiper[^"\n`]*?|[0-9:A-F]{17})"?(?: --|`|\n)', PAGE)
    assert len(names) >= 3
    for name in names:
        assert ble_address(name).name == name


def test_figures_are_those_in_force() -> None:
    assert f"; {PLANNED_RATE} without it" in PAGE
    assert f"| {STRONG_DBM} dBm and more, `strong`" in PAGE
    assert f"| below {FAIR_DBM} dBm, `weak`" in PAGE
    assert f"below {LOW_5V_MV / 1000:.1f} V" in PAGE
    assert f"{LOW_3V3_MV / 1000:.1f} V on a 3.3 V board" in PAGE
