"""Which characteristics become the UART, on modules as their makers describe them."""

from __future__ import annotations

import pytest
from bleak.backends.characteristic import BleakGATTCharacteristic
from bleak.backends.service import BleakGATTService

from unspool.errors import LinkError
from unspool.instrument.link.ble_address import BleAddress, ble_address, identifier
from unspool.instrument.link.ble_uart import COMMON, choose_uart

NOTIFY, WRITE, COMMAND = "notify", "write", "write-without-response"
MICROCHIP = "49535343-fe7d-4ae5-8fa9-9fafd205e455"


def service(uuid: str, *characteristics: tuple[str, list[str]], handle: int = 10):
    made = BleakGATTService(None, handle, uuid if len(uuid) > 4 else identifier(uuid))
    for k, (name, properties) in enumerate(characteristics):
        full = name if len(name) > 4 else identifier(name)
        made.add_characteristic(
            BleakGATTCharacteristic(None, handle + 1 + k, full, properties, lambda: 20, made)
        )
    return made


BATTERY = service("180f", ("2a19", ["read", NOTIFY]), handle=2)


def chosen(*services, address: BleAddress | None = None) -> tuple[str, str, bool]:
    uart = choose_uart(services, address or BleAddress("x"))
    return uart.notify.uuid[4:8], uart.write.uuid[4:8], uart.response


def test_one_characteristic_for_both_directions() -> None:
    assert chosen(BATTERY, service("ffe0", ("ffe1", [NOTIFY, COMMAND]))) == ("ffe1", "ffe1", False)


def test_response_is_asked_for_where_there_is_nothing_else() -> None:
    assert chosen(service("ffe0", ("ffe1", [NOTIFY, WRITE]))) == ("ffe1", "ffe1", True)


def test_same_service_with_other_characteristics() -> None:
    """HopeRF HM-BT4502: FFE4 notifies, FFE9 takes writes, and neither is the table's FFE1."""
    two = service("ffe0", ("ffe9", [WRITE]), ("ffe4", [NOTIFY]))
    assert chosen(two) == ("ffe4", "ffe9", True)


def test_usual_identifier_with_the_wrong_property() -> None:
    turned = service("fff0", ("fff1", [WRITE, COMMAND]), ("fff2", [NOTIFY]))
    assert chosen(turned) == ("fff2", "fff1", False)


def test_several_that_could_are_settled_by_the_table() -> None:
    """Microchip: the transmit and the control characteristic can both notify and be written."""
    uart = choose_uart(
        [
            service(
                MICROCHIP,
                ("49535343-4c8a-39b3-2f49-511cff073b7e", [WRITE, COMMAND, NOTIFY]),
                ("49535343-1e4d-4bd9-ba61-23c647249616", [NOTIFY, WRITE, COMMAND]),
                ("49535343-8841-43f4-a8d4-ecbe34729bb3", [WRITE, COMMAND]),
            )
        ],
        BleAddress("x"),
    )
    assert uart.notify.uuid == "49535343-1e4d-4bd9-ba61-23c647249616"
    assert uart.write.uuid == "49535343-8841-43f4-a8d4-ecbe34729bb3"


def test_first_of_the_table_wins_whatever_the_order_on_the_device() -> None:
    old = service("fff0", ("fff1", [NOTIFY]), ("fff2", [COMMAND]), handle=10)
    nordic = service(
        "6e400001-b5a3-f393-e0a9-e50e24dcca9e",
        ("6e400002-b5a3-f393-e0a9-e50e24dcca9e", [COMMAND, WRITE]),
        ("6e400003-b5a3-f393-e0a9-e50e24dcca9e", [NOTIFY]),
        handle=20,
    )
    uart = choose_uart([old, nordic], BleAddress("x"))
    assert (uart.notify.handle, uart.write.handle, uart.response) == (22, 21, False)


def test_named_ones_are_taken_whatever_they_say_of_themselves() -> None:
    odd = service("abcd", ("0001", ["read"]), ("0002", ["read"]), ("0003", [NOTIFY, WRITE]))
    named = ble_address("x", "abcd", "0001", "0002", response=True)
    assert chosen(BATTERY, odd, address=named) == ("0001", "0002", True)
    anywhere = ble_address("x", None, "0001", "0002", response=False)
    assert chosen(BATTERY, odd, address=anywhere) == ("0001", "0002", False)


def test_a_named_service_is_read_by_its_properties() -> None:
    odd = service("abcd", ("0001", [COMMAND]), ("0002", ["indicate"]))
    assert chosen(BATTERY, odd, address=ble_address("x", "abcd")) == (
        "0002",
        "0001",
        False,
    )


@pytest.mark.parametrize("ids", [(), ("FFE0",), ("180F",), (None, "FFE1", "FFE1")])
def test_none_says_what_is_there(ids: tuple[str | None, ...]) -> None:
    long = "12345678-1234-5678-1234-56789abcdef0"
    with pytest.raises(LinkError, match="no serial line") as caught:
        choose_uart([BATTERY, service(long)], ble_address("x", *ids))
    assert f"(its services: 180f, {long})" in str(caught.value)


def test_the_table_is_complete() -> None:
    for common in COMMON:
        for uuid in (common.service, common.notify, common.write):
            assert identifier(uuid) == uuid
        assert common.source.startswith("https://")
    assert len({common.service for common in COMMON}) == len(COMMON) == 4
