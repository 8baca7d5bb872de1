"""Units for reading against NIST Special Publication 811 (2008), appendix B.8.

Its factors, to convert into SI, are typed here as the guide prints them (from memory). The guide
prints those in bold that are exact.
"""

from __future__ import annotations

import pytest

from unspool.render.words.reading_units import ReadingUnits, as_read, reading_in

# Unit that is read, the metric unit that it stands for, and how many of that the guide gives.
EXACT = [
    ("ft", "m", 3.048e-01),
    ("ft/s", "m/s", 3.048e-01),
    ("ft/s²", "m/s²", 3.048e-01),
    ("in", "mm", 1e3 * 2.54e-02),
    ("in", "cm", 2.54e00),
    ("in/s", "mm/s", 1e3 * 2.54e-02),
    ("in²", "cm²", 1e4 * 6.4516e-04),
    ("ft²/s²", "m²/s²", 9.290304e-02),
]
SEVEN_DIGITS = [("oz", "g", 1e3 * 2.834952e-02), ("lb", "kg", 4.535924e-01)]


@pytest.mark.parametrize(("read", "metric", "factor"), EXACT)
def test_lengths_and_speeds_are_exact(read: str, metric: str, factor: float) -> None:
    with reading_in(ReadingUnits.FEET):
        assert as_read(factor, metric) == (pytest.approx(1.0, rel=1e-15), read)


@pytest.mark.parametrize(("read", "metric", "factor"), SEVEN_DIGITS)
def test_masses_agree_to_the_digits_printed(read: str, metric: str, factor: float) -> None:
    with reading_in(ReadingUnits.FEET):
        assert as_read(factor, metric) == (pytest.approx(1.0, rel=2e-7), read)


def test_sixteen_ounces_are_a_pound() -> None:
    with reading_in(ReadingUnits.FEET):
        ounces, _ = as_read(1000.0, "g")
        pounds, _ = as_read(1.0, "kg")
    assert ounces == pytest.approx(16.0 * pounds, rel=1e-15)


def test_other_units_and_other_readers_see_what_is_there() -> None:
    assert as_read(12.5, "m") == (12.5, "m")
    with reading_in(ReadingUnits.FEET):
        assert [as_read(2.0, unit)[1] for unit in ("s", "N", "J", "V", "turns", "%")] == [
            "s", "N", "J", "V", "turns", "%",
        ]  # fmt: skip
