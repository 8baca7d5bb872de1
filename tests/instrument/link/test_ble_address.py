"""Radios by name or address: whom they mean, and what is wrong with those that mean nobody."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.instrument.link import cable_link, radio_link
from unspool.instrument.link.ble import BleLink
from unspool.instrument.link.ble_address import BleAddress, ble_address

SHORT = "0000{}-0000-1000-8000-00805f9b34fb"
LONG = "6e400001-b5a3-f393-e0a9-e50e24dcca9e"


def test_a_name_alone_is_planned_for_the_slowest_module() -> None:
    assert ble_address("Sandpiper") == BleAddress("Sandpiper", rate=2000)


def test_all_options() -> None:
    said = ble_address("A b", LONG.upper(), "FFE4", "ffe9", 4000, True)
    ids = (LONG, SHORT.format("ffe4"), SHORT.format("ffe9"))
    assert said == BleAddress("A b", *ids, 4000, True)
    assert ble_address("x", response=False).response is False


def test_link_carries_its_rate() -> None:
    link = radio_link(ble_address("Sandpiper", rate=4000))
    assert isinstance(link, BleLink)
    assert (link.spec, link.rate, link.lasting) == ("ble:Sandpiper", 4000, True)
    assert cable_link("/dev/ttyUSB0").rate is None


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("service", ""),
        ("service", "FFE"),
        ("notify", "xyzw"),
        ("write", "FFE1 "),
        ("rate", 0),
        ("rate", 15),
        ("rate", 11521),
        ("name", ""),
        ("name", "a\x1b[2J"),
    ],
)
def test_wrong_options_are_named(key: str, value: str | int) -> None:
    said = {"name": "x", key: value}
    with pytest.raises(InputError) as caught:
        ble_address(**said)
    assert [fault.where for fault in caught.value.faults] == [key]
    assert "\x1b" not in str(caught.value)


def test_all_wrong_options_at_once() -> None:
    with pytest.raises(InputError) as caught:
        ble_address("", "round", rate=-1)
    assert {fault.where for fault in caught.value.faults} == {"name", "service", "rate"}


@given(st.text(min_size=1).filter(str.isprintable))
def test_every_printable_name_can_be_meant(name: str) -> None:
    assert ble_address(name).name == name


@given(st.text(), st.text(), st.integers())
def test_what_is_said_is_an_address_or_an_input_error(name: str, service: str, rate: int) -> None:
    with contextlib.suppress(InputError):
        assert ble_address(name, service, rate=rate).name == name


def test_whom_a_name_means() -> None:
    wanted = ble_address("sandpiper")
    assert not wanted.is_exact
    assert wanted.means("00:00:5E:00:53:01", None, "Sandpiper")
    assert not wanted.means("00:00:5E:00:53:01", "Sandpiper 2")
    assert not wanted.means("00:00:5E:00:53:01", None)


@pytest.mark.parametrize("address", ["00:00:5e:00:53:01", "6E400001-B5A3-F393-E0A9-E50E24DCCA9E"])
def test_whom_an_address_means(address: str) -> None:
    wanted = ble_address(address)
    assert wanted.is_exact
    assert wanted.means(address.upper())
    assert not wanted.means("00:00:5E:00:53:02", "Sandpiper")
