"""A short run of the line's fuzzer with the firmware on the simulated chip."""

from __future__ import annotations

import pytest

from firmware.stepped import RAM_RESERVE
from fuzz.line import on_chip

pytestmark = pytest.mark.firmware


@pytest.mark.parametrize("seed", range(200, 205))
def test_spoilt_frames_alter_no_edge_on_the_chip(seed: int) -> None:
    told, report = on_chip(seed, edges=1000)
    assert told.edges >= 1000
    assert told.frames > 100
    assert report["stack_room_bytes"] >= RAM_RESERVE
