"""Colours and type that pictures and pages share.

Chosen for a phone in the sun: dark on white, every text at WCAG 2.2's 4.5:1 or more and every line
that carries meaning at 3:1 or more. No two meanings differ by hue alone: what was expected is grey
and dashed, what was found is solid, and each mark has its word.
"""

from __future__ import annotations

PAPER = "#ffffff"
INK = "#14181d"
QUIET = "#474e57"  # second-rank text
RULE = "#d3d7dc"  # grid lines; carries no meaning alone

MEASURED = "#0b4ea2"
UNSURE = "#c9d6ea"  # the band around what was measured; its edges stand in figures, too
EXPECTED = "#5b626b"
FOUND = "#b03a00"  # events

# Stretches, in their order. They differ in lightness as well as in hue, for readers who see no red,
# no green or no colour at all.
STRETCHES = ("#7a1f5c", "#0a7a5e", "#8a5a00", "#3d4a9e")
COAST = "#14181d"

# Groups of runs, each with its colour, dash and mark.
GROUPS = (
    ("#0b4ea2", "solid", "circle"),
    ("#b03a00", "9px,4px", "diamond"),
    ("#0a7a5e", "3px,3px", "square"),
    ("#7a1f5c", "9px,3px,3px,3px", "triangle-up"),
    ("#8a5a00", "16px,5px", "x"),
    ("#14181d", "5px,8px", "cross"),
)

GAINED = "#0b4ea2"  # energy put in
SPENT = "#b03a00"
UNEXPLAINED = "#5b626b"

FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'DejaVu Sans', sans-serif"
