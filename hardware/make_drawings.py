"""`make pictures`: draws every picture of the book in hardware/.

A test sees that the pictures that lie here are what this script draws.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from drawings.board_pages import board_page
from drawings.car_steps import STEPS as CAR_STEPS
from drawings.circuit_pages import bare_fork, radio, reset, sensors, supply
from drawings.fork_steps import STEPS as FORK_STEPS
from drawings.magnet_steps import STEPS as MAGNET_STEPS
from drawings.pins import BOARDS
from drawings.reflective_steps import STEPS as REFLECTIVE_STEPS

PICTURES = HERE / "pictures"
DRAWINGS: dict[str, Callable[[], str]] = {
    **{f"pins-{key}": partial(board_page, board) for key, board in BOARDS.items()},
    "wiring-two-sensors": partial(sensors, 2),
    "wiring-one-sensor": partial(sensors, 1),
    "wiring-supply": supply,
    "wiring-bluetooth-5v": partial(radio, divider=True),
    "wiring-bluetooth-3v3": partial(radio, divider=False),
    "wiring-reset": reset,
    "wiring-bare-fork": bare_fork,
    **FORK_STEPS,
    **REFLECTIVE_STEPS,
    **MAGNET_STEPS,
    **CAR_STEPS,
}


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    for name, draw in DRAWINGS.items():
        (PICTURES / f"{name}.svg").write_text(draw(), encoding="utf-8")


if __name__ == "__main__":
    main()
