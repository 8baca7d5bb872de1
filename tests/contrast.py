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
