"""Text made harmless for a terminal and for a spreadsheet.

Names, notes and a board's words come from outside. An escape sequence in them could move the cursor
or retitle a window; a cell that begins with `=` would run as a formula.
"""

from __future__ import annotations

import re
import unicodedata

# Signs that turn the direction of what follows them: the line then reads differently.
_DIRECTION = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# What a spreadsheet takes for the start of a formula, wide forms too (common practice: OWASP, "CSV
# injection"). In many languages it parts fields by semicolons, so one may begin after any of them.
_FORMULA = re.compile(r"(?:^|(?<=[;\t\n]))(?=[\s\"]*[=+\-@\uff1d\uff0b\uff0d\uff20]|\t)")


def visible(text: str) -> str:
    """`text` with control characters written as `\\x1b`; line ends and tabs stay."""
    if text.isprintable():
        return text
    return "".join(map(_shown, text))


def _shown(character: str) -> str:
    if character in "\n\t":
        return character
    if character in _DIRECTION or unicodedata.category(character) in ("Cc", "Cs"):
        return character.encode("unicode_escape").decode("ascii")
    return character


def cell(value: str) -> str:
    """`value` for a CSV file: no spreadsheet reads it as a formula."""
    return _FORMULA.sub("'", visible(value))
