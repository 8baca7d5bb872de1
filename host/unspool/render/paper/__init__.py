"""Paper. Texts and rows of text come in.

The parts of a sheet go out, for those who make PDFs.
"""

from unspool.render.paper.parts import (
    BOLD,
    INK,
    MARGIN,
    PLAIN,
    QUIET,
    RULE,
    WIDTH,
    Style,
    heading,
    paragraph,
    register_fonts,
    table,
)

__all__ = [
    "BOLD",
    "INK",
    "MARGIN",
    "PLAIN",
    "QUIET",
    "RULE",
    "WIDTH",
    "Style",
    "heading",
    "paragraph",
    "register_fonts",
    "table",
]
