"""Contrast ratio of two colours (WCAG 2.2: definitions of contrast ratio, relative luminance)."""

from __future__ import annotations


def contrast(one: str, other: str) -> float:
    """1 for equal colours to 21 for black on white; colours as #rrggbb."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (_linear(c) for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def turned_over(colour: str) -> str:
    """The colour after the filter `invert(1) hue-rotate(180deg)` (Filter Effects, 12.1)."""
    red, green, blue = (1.0 - int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    rows = ((-0.574, 1.430, 0.144), (0.426, 0.430, 0.144), (0.426, 1.430, -0.856))
    mixed = (r * red + g * green + b * blue for r, g, b in rows)
    return "#" + "".join(f"{round(255 * min(max(c, 0.0), 1.0)):02x}" for c in mixed)
