"""Numbers carry units, and what is not known is said to be so."""

from __future__ import annotations

import math

import pytest

from unspool.render.words.units import apart, half_interval, plain, quantity, with_sd


@pytest.mark.parametrize(
    ("value", "unit", "digits", "text"),
    [
        (15.266, "m", 2, "15.27\u00a0m"),
        (-0.12, "m/s²", 3, "\u22120.120\u00a0m/s²"),
        (-0.001, "J", 2, "0.00\u00a0J"),
        (0.0, "J", 0, "0\u00a0J"),
        (None, "J", 2, "not known"),
        (math.nan, "m", 2, "not known"),
        (math.inf, "m", 2, "not known"),
    ],
)
def test_quantity(value: float | None, unit: str, digits: int, text: str) -> None:
    assert quantity(value, unit, digits) == text


def test_who_subtracts_what_is_shown_finds_the_difference_that_is_shown() -> None:
    went, due = 13.4151, 14.2549
    assert (quantity(went, "m"), quantity(due, "m")) == ("13.42\u00a0m", "14.25\u00a0m")
    assert apart(went, due, "m") == apart(due, went, "m") == "0.83\u00a0m"


def test_an_interval_holds_ninety_five_percent() -> None:
    assert with_sd(0.5, 0.004, "m/s²", 3) == "0.500\u00a0±\u00a00.008\u00a0m/s²"
    assert with_sd(1.3593, 0.00012, "m") == "1.3593\u00a0±\u00a00.0002\u00a0m"
    assert with_sd(1.3593, 0.0012, "m") == "1.3593\u00a0±\u00a00.0024\u00a0m"
    assert with_sd(1.3593, 0.0022, "m") == "1.359\u00a0±\u00a00.004\u00a0m"
    assert with_sd(20.3477, 0.05, "m") == "20.35\u00a0±\u00a00.10\u00a0m"
    assert with_sd(20.3477, 0.3, "m") == "20.3\u00a0±\u00a00.6\u00a0m"
    assert with_sd(203.4, 30.0, "m") == "203\u00a0±\u00a059\u00a0m"
    assert with_sd(1.3593, 1e-7, "m") == "1.3593\u00a0±\u00a00.0001\u00a0m"
    assert with_sd(0.0, 0.0, "m") == "0.00\u00a0m"
    assert with_sd(0.5, None, "m/s²", 3) == "0.500\u00a0m/s²"
    assert with_sd(None, 0.1, "m") == "not known"


def test_half_an_interval_has_the_digits_that_it_is_worth() -> None:
    assert half_interval(50.0, "mm") == "98\u00a0mm"
    assert half_interval(1.2, "mm") == "2.4\u00a0mm"
    assert half_interval(0.06, "mm") == "0.12\u00a0mm"


def test_markup_stays_text() -> None:
    assert plain("<img src=x onerror=alert(1)> & co") == (
        "&lt;img src=x onerror=alert(1)&gt; &amp; co"
    )
