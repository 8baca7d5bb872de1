"""Kept bytes give the same values back, of the same types, to the last digit; or an error."""

from __future__ import annotations

import json
import zlib
from hashlib import sha256
from math import inf, nan
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from unspool.finding import Finding, Severity
from unspool.kept.codec import DamagedError, decode, encode, plain
from unspool.model.outcome import Event, EventKind
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain

NUMBERS = st.one_of(
    *(st.none(), st.booleans(), st.integers(), st.text(), st.floats()),
    st.floats().map(np.float64),
    st.sampled_from([*EventKind, *Ending, Severity.WARNING]),
)
ARRAYS = hnp.arrays(
    st.sampled_from([np.dtype(one) for one in ("<f8", "i1", "<i8", "?", "<f4", "<u2")]),
    hnp.array_shapes(min_dims=0, max_dims=3, min_side=0, max_side=4),
)
VALUES = st.recursive(
    NUMBERS | ARRAYS,
    lambda held: st.one_of(
        st.lists(held, max_size=3),
        st.lists(held, max_size=3).map(tuple),
        st.dictionaries(st.text(max_size=3), held, max_size=3),
        st.dictionaries(st.text(max_size=3), held, max_size=3).map(MappingProxyType),
        st.builds(Event, held, held, held, held),
        st.builds(Finding, held, held, held),
    ),
    max_leaves=12,
)


def exact(value: Any) -> Any:
    """The value with its types, such that == also separates 1, 1.0, True and nan from nan."""
    kind = type(value).__name__
    if isinstance(value, np.ndarray):
        return kind, value.dtype.str, value.shape, value.tobytes()
    if type(value) is float:
        return kind, repr(value)  # JSON has one nan only
    if isinstance(value, np.generic):
        return kind, np.asarray(value).tobytes()
    if isinstance(value, (list, tuple)):
        return kind, [exact(one) for one in value]
    if isinstance(value, (dict, MappingProxyType)):
        return kind, [(key, exact(one)) for key, one in value.items()]
    if hasattr(value, "__dataclass_fields__"):
        return kind, [exact(getattr(value, name)) for name in value.__dataclass_fields__]
    return kind, value


@given(VALUES)
def test_a_value_comes_back_exactly(value: Any) -> None:
    back = decode(encode(value))
    assert exact(back) == exact(value)
    assert plain(back) == plain(value)


@given(VALUES, VALUES)
def test_only_equal_values_have_equal_bytes(one: Any, other: Any) -> None:
    assert (plain(one) == plain(other)) == (exact(one) == exact(other))


def test_an_array_from_the_bytes_can_be_written_and_is_its_own() -> None:
    one, other = decode(encode((np.arange(3.0), np.arange(3.0))))
    one[0] = 7.0
    assert other[0] == 0.0


def test_infinities_and_nan_come_back() -> None:
    assert exact(decode(encode((inf, -inf, nan, -0.0)))) == exact((inf, -inf, nan, -0.0))


def test_a_shared_object_is_not_written_but_given_back() -> None:
    train = PulseTrain(np.arange(1000.0), np.ones(1000, np.int8), np.arange(1000))
    data = encode((1, train), {"train": train})
    assert len(data) < 200
    assert decode(data, {"train": train})[1] is train
    with pytest.raises(DamagedError):
        decode(data)


@pytest.mark.parametrize("value", [object(), b"raw", np.array(["text"]), {1, 2}, np.array([None])])
def test_a_value_without_a_form_is_refused(value: Any) -> None:
    with pytest.raises(TypeError, match="cannot be kept"):
        encode((1, value))


@given(st.binary(max_size=200))
def test_other_bytes_are_damaged(data: bytes) -> None:
    with pytest.raises(DamagedError):
        decode(data)


@given(st.data())
def test_a_changed_byte_is_damage(data: st.DataObject) -> None:
    kept = bytearray(encode((1.5, np.arange(9), Event(EventKind.STOP, 1.0, 2.0, 0.0))))
    place = data.draw(st.integers(0, len(kept) - 1))
    kept[place] ^= data.draw(st.integers(1, 255))
    with pytest.raises(DamagedError):
        decode(bytes(kept))


def made_up(tree: Any) -> bytes:
    """Bytes with a right digest around a tree that `encode` never writes."""
    text = json.dumps(tree).encode()
    packed = zlib.compress(len(text).to_bytes(4, "little") + text)
    return sha256(packed).digest() + packed


@pytest.mark.parametrize(
    "tree",
    [
        {"of": "os:system", "has": {"command": "true"}},
        {"of": "unspool.cli.entry:run", "has": {"arguments": []}},
        {"of": "unspool.store.store:Store", "has": {}},
        {"of": "unspool.model.outcome:Event", "has": {"gone": 1}},
        {"enum": ["unspool.model.outcome:EventKind", "explosion"]},
        {"array": ["<f8", [10**12], 0], "scalar": False},
        {"array": ["O", [1], 0], "scalar": False},
        {"array": ["<f8", [2], -8], "scalar": False},
        {"what": 1},
    ],
)
def test_nothing_but_values_of_ours_is_made(tree: Any) -> None:
    with pytest.raises(DamagedError):
        decode(made_up(tree))
