"""`ble:` specs: whom they mean, and what is wrong with those that mean nobody."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.instrument.link import open_spec
from unspool.instrument.link.ble import BleLink
from unspool.instrument.link.ble_address import BleAddress, parse_address, spec_for

SHORT = "0000{}-0000-1000-8000-00805f9b34fb"
LONG = "6e400001-b5a3-f393-e0a9-e50e24dcca9e"


def test_a_name_alone_is_planned_for_the_slowest_module() -> None:
    assert parse_address("ble:Sandpiper") == BleAddress("Sandpiper", rate=2000)


def test_all_options() -> None:
    spec = f"ble:A b?service={LONG.upper()}&notify=FFE4&write=ffe9&rate=4000&response=yes"
    assert parse_address(spec) == BleAddress(
        "A b", LONG, SHORT.format("ffe4"), SHORT.format("ffe9"), 4000, True
    )
    assert parse_address("ble:x?response=no").response is False


def test_link_carries_its_rate() -> None:
    link = open_spec("ble:Sandpiper?rate=4000")
    assert isinstance(link, BleLink)
    assert (link.spec, link.rate, link.lasting) == ("ble:Sandpiper?rate=4000", 4000, True)
    assert open_spec("serial:/dev/ttyUSB0").rate is None


@pytest.mark.parametrize(
    "option",
    [
        "service",
        "service=",
        "service=FFE",
        "notify=xyzw",
        "rate=0",
        "rate=15",
        "rate=11521",
        "rate=fast",
        "response=maybe",
        "speed=1",
        "Rate=100",
    ],
)
def test_wrong_options_are_named(option: str) -> None:
    with pytest.raises(InputError, match="expected service, notify and write") as caught:
        open_spec(f"ble:x?{option}")
    assert repr(option) in str(caught.value)


def test_all_wrong_options_at_once() -> None:
    with pytest.raises(InputError) as caught:
        parse_address("ble:x?rate=-1&write=FFE1&shape=round")
    assert "'rate=-1', 'shape=round'" in str(caught.value)


@pytest.mark.parametrize("spec", ["ble:", "ble", "ble:?rate=100", "ble:a%1b[2J"])
def test_what_names_no_device(spec: str) -> None:
    with pytest.raises(InputError):
        open_spec(spec)


@given(st.text(min_size=1).filter(str.isprintable))
def test_every_printable_name_can_be_written(name: str) -> None:
    assert parse_address(spec_for(name)) == BleAddress(name)


def test_plain_names_are_written_plainly() -> None:
    assert spec_for("Sandpiper (2) 3-B") == "ble:Sandpiper (2) 3-B"
    assert spec_for("00:00:5E:00:53:01") == "ble:00:00:5E:00:53:01"
    assert spec_for("100%?") == "ble:100%25%3F"


def test_whom_a_name_means() -> None:
    wanted = parse_address("ble:sandpiper")
    assert not wanted.is_exact
    assert wanted.means("00:00:5E:00:53:01", None, "Sandpiper")
    assert not wanted.means("00:00:5E:00:53:01", "Sandpiper 2")
    assert not wanted.means("00:00:5E:00:53:01", None)


@pytest.mark.parametrize("address", ["00:00:5e:00:53:01", "6E400001-B5A3-F393-E0A9-E50E24DCCA9E"])
def test_whom_an_address_means(address: str) -> None:
    wanted = parse_address(f"ble:{address}")
    assert wanted.is_exact
    assert wanted.means(address.upper())
    assert not wanted.means("00:00:5E:00:53:02", "Sandpiper")
