"""One string names any link: `serial:/dev/ttyUSB0`, `ble:NAME`, `replay:run.bin`, `virtual:`."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from pathlib import Path

from unspool.errors import InputError
from unspool.instrument.link.base import Link

FORMS = "serial:PORT, ble:NAME, replay:FILE or replay:FILE?speed=FACTOR (0: as fast as it goes)"


def open_spec(spec: str, virtual: Callable[[], Link] | None = None) -> Link:
    """The link that a spec string names, not yet opened.

    `virtual` makes the board behind `virtual:`, which lives outside this package.
    Raises InputError when the string names no link or its file cannot be read.
    """
    kind, colon, rest = spec.partition(":")
    if kind == "serial" and rest:
        from unspool.instrument.link.serial import SerialLink

        return SerialLink(rest)
    if kind == "ble" and rest:
        from unspool.instrument.link.ble import BleLink

        return BleLink(spec)
    if kind == "replay" and rest:
        return _replay(spec, rest)
    if kind == "virtual" and colon and not rest and virtual is not None:
        return virtual()
    forms = FORMS if virtual is None else f"{FORMS}, or virtual:"
    raise InputError(f"{spec!r} names no link; expected {forms}")


def _replay(spec: str, rest: str) -> Link:
    from unspool.instrument.link.replay import ReplayLink, read_capture_file

    name, _, option = rest.partition("?")
    return ReplayLink(spec, read_capture_file(Path(name)), _speed(spec, option))


def _speed(spec: str, option: str) -> float:
    if not option:
        return 1.0
    key, _, value = option.partition("=")
    try:
        speed = float(value)
    except ValueError:
        speed = -1.0
    if key != "speed" or not isfinite(speed) or speed < 0:
        raise InputError(f"{spec!r}: found {option!r}, expected speed=FACTOR with a factor >= 0")
    return speed
