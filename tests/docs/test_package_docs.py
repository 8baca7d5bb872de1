"""Each package says what comes in and what goes out."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import unspool

HOST = Path(unspool.__file__).parent
PACKAGES = sorted(path for path in HOST.rglob("__init__.py") if path.parent != HOST)


@pytest.mark.parametrize("path", PACKAGES, ids=lambda path: str(path.parent.relative_to(HOST)))
def test_what_comes_in_and_what_goes_out(path: Path) -> None:
    doc = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    first, _, second = doc.partition("\n\n")
    assert "come" in first
    assert " in" in first
    assert " go" in second
