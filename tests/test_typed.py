"""What people type is read with a point or a comma, and never guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.names import name_key
from unspool.typed import decimal, typed_number, typed_tags


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12.0),
        (" 12.5 ", 12.5),
        ("12,5", 12.5),
        ("\u00a012,5\n", 12.5),
        (",5", 0.5),
        ("5,", 5.0),
        ("-0,25", -0.25),
        ("+3", 3.0),
        ("1,5e-3", 0.0015),
        ("", None),
        (",", None),
        ("1.234,5", None),
        ("1,234.5", None),
        ("1 000", None),
        ("1e999", None),
        ("nan", None),
        ("inf", None),
        ("0x10", None),
        ("1_000", None),
        ("\u0661\u0662", None),
        ("9" * 41, None),
        ("12 g", None),
    ],
)
def test_a_number(text: str, value: float | None) -> None:
    assert decimal(text) == value


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_can_be_typed_with_a_comma(value: float) -> None:
    assert decimal(repr(value)) == decimal(repr(value).replace(".", ",")) == value


@given(st.text(max_size=60))
def test_anything_typed_is_a_number_or_one_fault(text: str) -> None:
    if decimal(text) is None:
        with pytest.raises(InputError) as caught:
            typed_number("the weight", text)
        assert caught.value.faults[0].where == "the weight"
    else:
        assert typed_number("the weight", text) == decimal(text)


@pytest.mark.parametrize(("given", "found"), [(None, '"None"'), (5.0, '"5.0"'), ("", "nothing")])
def test_what_is_no_text_is_no_number(given: object, found: str) -> None:
    with pytest.raises(InputError) as caught:
        typed_number("the weight", given)
    assert caught.value.faults[0].found == found


def test_tags() -> None:
    assert typed_tags("wet floor,  New  String ,wet FLOOR,,") == ("wet floor", "New String")
    assert typed_tags(" , ") == ()


@given(st.text(max_size=60))
def test_tags_are_each_there_once_and_typing_them_again_changes_nothing(text: str) -> None:
    tags = typed_tags(text)
    assert len(set(map(name_key, tags))) == len(tags)
    assert typed_tags(", ".join(tags)) == tags
