"""Sheets of a contest. The contest comes in.

Tables, CSV and PDF of its entries, its attempts and its results go out.
"""

from unspool.render.contest.sheets import Sheet, attempt_sheet, entry_list, log_sheet, results
from unspool.render.contest.tables import sheet_csv

__all__ = ["Sheet", "attempt_sheet", "entry_list", "log_sheet", "results", "sheet_csv"]
