"""A port that comes back under another name: found by its USB device, never taken from others."""

from __future__ import annotations

from pathlib import Path

import pytest
from serial.tools.list_ports_common import ListPortInfo

from board_rig import assert_whole, powered, recording, short_script, wait_for
from unspool.errors import LinkError
from unspool.instrument.link.moved_port import UsbPort, moved_to, usb_port
from unspool.instrument.link.serial import SerialLink
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

SPEED = 20.0


def port(device: str, number: str | None = None, vid: int | None = 0x1A86) -> ListPortInfo:
    made = ListPortInfo(device)
    made.device, made.vid, made.pid, made.serial_number = device, vid, 0x7523, number
    return made


def test_the_same_serial_number_is_the_same_device_wherever_it_is() -> None:
    listed = [port("/dev/a", "1"), port("/dev/b", "2")]
    was = usb_port("/dev/a", listed)
    assert was == UsbPort(0x1A86, 0x7523, "1", frozenset(("/dev/a", "/dev/b")))
    assert moved_to("/dev/a", was, listed) == []
    assert moved_to("/dev/a", was, [port("/dev/b", "1"), port("/dev/c", "2")]) == ["/dev/b"]


def test_without_a_serial_number_it_must_be_new_and_of_the_same_kind() -> None:
    was = usb_port("/dev/a", [port("/dev/a"), port("/dev/b")])
    assert was is not None
    now = [port("/dev/b"), port("/dev/c"), port("/dev/d", "7"), port("/dev/e", vid=0x0403)]
    assert moved_to("/dev/a", was, now) == ["/dev/c"]


def test_a_port_of_no_usb_device_is_not_looked_for() -> None:
    assert usb_port("/dev/a", [port("/dev/a", vid=None)]) is None
    assert usb_port("/dev/a", []) is None


@pytest.fixture
def names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """Two names of one device; the system lists those that are there."""
    both = tmp_path / "ttyUSB0", tmp_path / "ttyUSB1"
    monkeypatch.setattr("os.path.realpath", lambda path, **_: str(path))
    monkeypatch.setattr(
        "serial.tools.list_ports.comports",
        lambda: [port(str(name), "A1") for name in both if name.exists()],
    )
    return both


def test_the_recorder_goes_on_when_the_name_changes_in_the_run(
    names: tuple[Path, Path], tmp_path: Path
) -> None:
    script = short_script()
    terminal = PseudoTerminal(names[0])
    link = SerialLink(str(names[0]))
    with (
        Store.open(tmp_path / "s") as store,
        powered(terminal, script.edges, SPEED, identity=11),
        recording(link, store, SPEED) as (_, told),
    ):
        wait_for(lambda: len(told.live_numbers) > 100, "the run")
        terminal.unplug()
        names[0].unlink(missing_ok=True)
        terminal._path = names[1]
        wait_for(lambda: False in told.link_ups, "the loss to be noticed")
        terminal.plug()
        wait_for(lambda: told.saved, "the run to be saved")
        assert link.spec == f"serial:{names[1]}"
        assert_whole(store.run("1"), script)
        assert (len(store.captures()), store.runs()[0].missing) == (1, 0)


def test_a_port_that_another_program_has_is_left_to_it(names: tuple[Path, Path]) -> None:
    first, second = PseudoTerminal(names[0]), PseudoTerminal(names[1])
    link, other = SerialLink(str(names[0])), SerialLink(str(names[1]))
    other.open()
    link.open()
    first.unplug()
    names[0].unlink(missing_ok=True)
    with pytest.raises(LinkError):
        link.open()
    assert link.spec == f"serial:{names[0]}"
    other.close()
    link.open()
    assert link.spec == f"serial:{names[1]}"
    link.close()
    second.unplug()
