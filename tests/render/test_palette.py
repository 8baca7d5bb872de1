"""The colours can be read: on paper, in the sun, and by readers who see few hues."""

from __future__ import annotations

import itertools

import pytest

from contrast import contrast
from unspool.render.figures import palette

TEXTS = ("INK", "QUIET", "FOUND", "EXPECTED")
GROUPS = tuple(colour for colour, _, _ in palette.GROUPS)
LINES = ("MEASURED", "EXPECTED", "FOUND", "COAST", "GAINED", "SPENT", "UNEXPLAINED")


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#ffffff", 21.0), ("#767676", "#ffffff", 4.54), ("#0000ff", "#ffffff", 8.59)],
)
def test_the_measure_itself_gives_known_ratios(one: str, other: str, ratio: float) -> None:
    """Values that contrast tools print for these colours: common practice."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.006)


@pytest.mark.parametrize("name", TEXTS)
def test_text_reads_at_aa(name: str) -> None:
    assert contrast(getattr(palette, name), palette.PAPER) >= 4.5


@pytest.mark.parametrize(
    "colour", [*(getattr(palette, n) for n in LINES), *palette.STRETCHES, *GROUPS]
)
def test_lines_that_mean_something_stand_out(colour: str) -> None:
    assert contrast(colour, palette.PAPER) >= 3.0


def test_groups_differ_in_more_than_colour() -> None:
    dashes, marks = ([group[i] for group in palette.GROUPS] for i in (1, 2))
    assert len(set(dashes)) == len(set(marks)) == len(palette.GROUPS)


def test_figures_inside_bars_read_at_aa() -> None:
    for colour in (palette.GAINED, palette.SPENT, palette.UNEXPLAINED):
        assert contrast(palette.PAPER, colour) >= 4.5


def _as_deuteranope_sees(colour: str) -> tuple[float, float, float]:
    """Linear-light projection for missing green cones: Viénot, Brettel and Mollon 1999, table."""
    r, g, b = (((int(colour[i : i + 2], 16) / 255) ** 2.2) for i in (1, 3, 5))
    yellow = 0.29275 * r + 0.70725 * g
    return yellow, yellow, -0.02234 * r + 0.02234 * g + b


@pytest.mark.parametrize(
    "pair", [*itertools.combinations(palette.STRETCHES, 2), *itertools.combinations(GROUPS, 2)]
)
def test_stretches_and_groups_differ_without_green_cones(pair: tuple[str, str]) -> None:
    one, other = (_as_deuteranope_sees(c) for c in pair)
    apart = max(
        abs(a ** (1 / 2.2) - max(b, 0) ** (1 / 2.2)) for a, b in zip(one, other, strict=True)
    )
    assert apart > 0.08
