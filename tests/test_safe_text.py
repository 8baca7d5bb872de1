"""What comes from outside is shown, never obeyed."""

from __future__ import annotations

import csv
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


FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")


@given(st.one_of(st.text(), st.text("=+-@\uff1d;,\t\n\r\"' a")))
def test_no_field_starts_a_formula_however_a_spreadsheet_parts_them(text: str) -> None:
    out = StringIO()
    csv.writer(out).writerow(["x", cell(text), "y"])
    for sign in (",", ";", "\t"):
        for row in csv.reader(StringIO(out.getvalue()), delimiter=sign):
            assert not [one for one in row if one.lstrip(' \t"').startswith(FORMULA)], (sign, row)


@pytest.mark.parametrize("text", ["12.61", "a-b", "Sedge; Reed", "1,5", "x = y", "3 \u2212 2"])
def test_other_cells_stay_as_they_are(text: str) -> None:
    assert cell(text) == text


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
