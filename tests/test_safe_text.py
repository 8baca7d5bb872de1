"""What comes from outside is shown, never obeyed."""

from __future__ import annotations

from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.table import Table
from rich.text import Text

from unspool.safe_console import SafeConsole
from unspool.safe_text import cell, visible


def test_escape_and_direction_signs_are_written_out() -> None:
    assert visible("a\x1b[2Jb\u202ec\x07") == "a\\x1b[2Jb\\u202ec\\x07"
    assert visible("São João, 3 µm\tok\n") == "São João, 3 µm\tok\n"


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_starts_a_formula(start: str) -> None:
    assert cell(f'{start}HYPERLINK("http://x")')[0] in "'\\"


@given(st.text())
def test_no_control_character_is_left(text: str) -> None:
    shown = visible(text)
    assert not any(ord(c) < 32 and c not in "\n\t" for c in shown)
    assert "\x1b" not in shown
    shown.encode("utf-8")


def test_console_keeps_its_colours_and_shows_those_of_a_text() -> None:
    out = StringIO()
    console = SafeConsole(file=out, force_terminal=True, width=60, color_system="standard")
    table = Table(box=None)
    table.add_column("name")
    table.add_row(Text("evil \x1b]0;title\x07", style="red"))
    console.print(table)
    written = out.getvalue()
    assert "\x1b]0;" not in written
    assert "\\x1b]0;" in written
    assert "\x1b[31m" in written
