"""The Bluetooth link through bleak's own BlueZ backend, over a private bus and a fake BlueZ."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from board_rig import wait_for
from instrument.link.fake_bluez import FakeBluez
from instrument.link.fake_module import SHORT, Characteristic, Module
from unspool.errors import LinkError
from unspool.instrument.link import list_ble
from unspool.instrument.link.ble import BleLink, BleTimeouts
from unspool.instrument.link.ble_address import BleAddress, ble_address

QUICK = BleTimeouts(scan_s=1.0, linger_s=0.2, connect_s=2.0, write_s=5.0, idle_s=0.5)
WITH_RESPONSE = (
    Characteristic(SHORT.format("ffe4"), ("notify",)),
    Characteristic(SHORT.format("ffe9"), ("write",)),
)
EVERY_BYTE = bytes(range(256))


@pytest.fixture
def bluez(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeBluez]:
    with FakeBluez(tmp_path) as made:
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", made.bus)
        yield made


@pytest.fixture
def link() -> Iterator[BleLink]:
    made = BleLink(BleAddress("Sandpiper"), QUICK)
    yield made
    made.close()


def all_of(link: BleLink, size: int) -> bytes:
    heard = b""
    while len(heard) < size:
        heard += link.read(5.0) or pytest.fail("silence")
    return heard


def opens(link: BleLink) -> bool:
    try:
        link.open()
    except LinkError:
        return False
    return True


def why_it_fails(link: BleLink) -> str:
    """What reading ends with."""
    with pytest.raises(LinkError) as caught:
        all(isinstance(link.read(0.1), bytes) for _ in range(1000))
    return str(caught.value)


@pytest.mark.parametrize(
    ("mtu", "characteristics", "kind", "to", "size"),
    [
        (23, None, "command", "ffe1", 20),
        (247, None, "command", "ffe1", 244),
        (23, WITH_RESPONSE, "request", "ffe9", 20),
        (247, WITH_RESPONSE, "request", "ffe9", 244),
    ],
)
def test_bytes_come_and_go_unchanged(
    bluez: FakeBluez, link: BleLink, mtu: int, characteristics, kind: str, to: str, size: int
) -> None:
    """In packets of the size that the two sides agreed on, and never in a longer one."""
    more = {} if characteristics is None else {"characteristics": characteristics}
    module = bluez.add(Module(mtu=mtu, rate=20_000, **more))
    link.open()
    module.send(EVERY_BYTE * 4)
    assert all_of(link, 1024) == EVERY_BYTE * 4
    assert module.longest_packet == size
    link.write(EVERY_BYTE * 2)
    assert module.heard() == EVERY_BYTE * 2
    assert {(uuid[4:8], how) for uuid, _, how in module.writes} == {(to, kind)}
    assert max(length for _, length, _ in module.writes) == size


def test_silence_is_empty_and_bytes_wake_the_reader(bluez: FakeBluez) -> None:
    module = bluez.add(Module())
    link = BleLink(BleAddress("Sandpiper"), replace(QUICK, idle_s=60.0))
    link.open()
    assert link.read(0.01) == b""
    timer = threading.Timer(0.1, module.send, [b"late"])
    timer.start()
    assert link.read(30.0) == b"late"
    timer.join()
    link.close()


def test_an_address_is_as_good_as_a_name(bluez: FakeBluez) -> None:
    bluez.add(Module("Dunlin", "00:00:5E:00:53:02"))
    module = bluez.add(Module())
    link = BleLink(BleAddress(module.address.lower()), QUICK)
    link.open()
    module.send(b"here")
    assert link.read(5.0) == b"here"
    link.close()


def test_two_of_one_name_are_not_guessed_at(bluez: FakeBluez, link: BleLink) -> None:
    bluez.add(Module())
    bluez.add(Module(address="00:00:5E:00:53:02"))
    with pytest.raises(LinkError, match="2 Bluetooth devices called Sandpiper") as caught:
        link.open()
    assert "(00:00:5E:00:53:01, 00:00:5E:00:53:02)" in str(caught.value)


def test_a_namesake_that_comes_later_is_not_taken_for_it(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    bluez.drop(module)
    assert "out of reach" in why_it_fails(link)
    bluez.add(Module(address="00:00:5E:00:53:02"))
    with pytest.raises(LinkError, match="no Bluetooth device called Sandpiper"):
        link.open()
    module.in_reach = True
    link.open()
    module.send(b"the same")
    assert link.read(5.0) == b"the same"


def test_out_of_reach_and_back(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    module.send(b"last")
    assert link.read(5.0) == b"last"
    bluez.drop(module)
    assert "the edges wait on the board" in why_it_fails(link)
    with pytest.raises(LinkError, match="not open"):
        link.write(b"x")
    with pytest.raises(LinkError, match="no Bluetooth device called Sandpiper is in reach"):
        link.open()
    module.in_reach = True
    link.open()
    module.send(b"again")
    assert link.read(5.0) == b"again"


def test_drops_leave_no_connection_behind(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    before = bluez.clients()
    for _ in range(5):
        bluez.drop(module, in_reach=True)
        assert "out of reach" in why_it_fails(link)
        link.open()
    assert bluez.clients() == before


@pytest.mark.parametrize("characteristics", [None, WITH_RESPONSE])
def test_writing_into_a_drop(bluez: FakeBluez, link: BleLink, characteristics) -> None:
    more = {} if characteristics is None else {"characteristics": characteristics}
    module = bluez.add(Module(**more))
    link.open()
    timer = threading.Timer(0.1, bluez.drop, [module])
    timer.start()
    with pytest.raises(LinkError, match="out of reach or switched off"):
        any(link.write(bytes(20)) for _ in range(10_000))
    timer.join()
    link.close()


def test_vanishing_without_a_word(bluez: FakeBluez, link: BleLink) -> None:
    """The system goes on calling it connected, and writes go on to succeed."""
    module = bluez.add(Module())
    link.open()
    module.send(b"last")
    assert link.read(5.0) == b"last"
    module.in_reach = False
    link.write(b"into the air")
    assert "nothing has come from Sandpiper for 0.5 s" in why_it_fails(link)
    module.in_reach = True
    link.open()
    module.send(b"again")
    assert link.read(5.0) == b"again"


def test_a_board_that_never_says_anything(bluez: FakeBluez, link: BleLink) -> None:
    bluez.add(Module())
    link.open()
    assert "115200 baud" in why_it_fails(link)


def test_forgotten_by_the_system(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    bluez.remove(module)
    assert why_it_fails(link)
    link.open()
    module.send(b"again")
    assert link.read(5.0) == b"again"


def test_the_daemon_dies_and_comes_back(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    bluez.stop()
    module.linked(False)
    assert why_it_fails(link)
    with pytest.raises(LinkError, match="switch Bluetooth on"):
        link.open()
    bluez.start()
    link.open()
    module.send(b"again")
    assert link.read(5.0) == b"again"


def test_turned_off_in_use_and_on_again(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    link.open()
    bluez.power(False)
    assert "out of reach" in why_it_fails(link)
    with pytest.raises(LinkError, match="Bluetooth is off"):
        link.open()
    bluez.power(True)
    wait_for(lambda: opens(link), "the news of it")
    module.send(b"again")
    assert link.read(5.0) == b"again"


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("off", "Bluetooth is off; turn it on"),
        ("missing", "this computer has no Bluetooth; plug in"),
        ("classic", "no Bluetooth Low Energy; its adapter is too old"),
        ("forbidden", "this user may not use Bluetooth"),
        ("no service", "the system's Bluetooth service is not running"),
    ],
)
def test_what_stands_in_the_way(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, link: BleLink, state, words: str
) -> None:
    with FakeBluez(tmp_path, state) as bluez:
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", bluez.bus)
        for use in (link.open, lambda: list_ble(0.1)):
            with pytest.raises(LinkError) as caught:
                use()
            assert words in str(caught.value)


def test_held_for_a_program_that_was_killed(bluez: FakeBluez, link: BleLink) -> None:
    """The system keeps its connection, so that no scan shows the module."""
    module = bluez.add(Module())
    bluez.hold(module)
    assert list_ble(0.2) == []
    link.open()
    module.send(b"there")
    assert link.read(5.0) == b"there"


def test_a_module_of_no_common_kind(bluez: FakeBluez, link: BleLink) -> None:
    both = (Characteristic(SHORT.format("0001"), ("notify", "write")),)
    module = bluez.add(Module(service=SHORT.format("abcd"), characteristics=both))
    with pytest.raises(LinkError, match="its services: abcd"):
        link.open()
    named = BleLink(ble_address("Sandpiper", "ABCD"), QUICK)
    named.open()
    module.send(b"there")
    assert named.read(5.0) == b"there"
    named.close()


def test_a_device_that_shows_itself_but_does_not_connect(bluez: FakeBluez, link: BleLink) -> None:
    module = bluez.add(Module())
    module.answers = False
    with pytest.raises(LinkError, match="did not answer in time"):
        link.open()
    module.answers = True
    link.open()


def test_giving_up_a_search(bluez: FakeBluez) -> None:
    link = BleLink(BleAddress("Nobody"), BleTimeouts(scan_s=60.0))
    timer = threading.Timer(0.2, link.give_up)
    timer.start()
    start = time.monotonic()
    with pytest.raises(LinkError, match="broken off"):
        link.open()
    assert time.monotonic() - start < 30.0
    with pytest.raises(LinkError, match="broken off"):
        link.open()
    link.close()
    timer.join()


def test_closing_twice_does_nothing(bluez: FakeBluez, link: BleLink) -> None:
    bluez.add(Module())
    link.open()
    threads = threading.active_count()
    link.close()
    link.close()
    assert threading.active_count() < threads


def test_list_puts_likely_and_strong_ones_first(bluez: FakeBluez) -> None:
    weak = bluez.add(Module("Dunlin", "00:00:5E:00:53:02"))
    weak.rssi = -88
    bluez.add(Module("Headphones", "00:00:5E:00:53:03", service=SHORT.format("180f"))).rssi = -20
    for address in ("00:00:5E:00:53:04", "00:00:5E:00:53:05"):
        bluez.add(Module("\x1b[2JTwin", address)).rssi = -70
    listed = [(p.wanted, p.name, p.signal_dbm, p.likely) for p in list_ble(0.5)]
    assert listed == [
        ("00:00:5E:00:53:04", "?[2JTwin", -70, True),
        ("00:00:5E:00:53:05", "?[2JTwin", -70, True),
        ("Dunlin", "Dunlin", -88, True),
        ("Headphones", "Headphones", -20, False),
    ]
