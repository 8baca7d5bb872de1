"""A sheet of a contest as CSV. No name can start a formula in a spreadsheet."""

from __future__ import annotations

import csv
from io import StringIO

from unspool.render.contest.sheets import Sheet
from unspool.render.words.units import NBSP
from unspool.safe_text import cell


def sheet_csv(sheet: Sheet) -> str:
    """RFC 4180: one row a line, with the table's title first."""
    text = StringIO()
    writer = csv.writer(text)
    for part in sheet.parts:
        writer.writerow(["Table", *map(cell, part.heads)])
        for line in part.lines:
            writer.writerow([cell(part.title), *(cell(one.replace(NBSP, " ")) for one in line)])
    return text.getvalue()
