"""What the parts of one car share: where each measure comes from is decided here, once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isfinite, pi

from unspool.errors import Fault, all_faults
from unspool.workshop.disc import Disc
from unspool.workshop.modules import BOARDS, MODULES, BoardShape, SensorKind, SensorModule
from unspool.workshop.outline import Circle, polar

SHAFT_MM = (3.0, 8.0)  # thinner bends, thicker leaves no room in a small disc
HUB_HOLES = 3
HUB_HOLE_MM = 3.2  # for M3


@dataclass(frozen=True)
class Measures:
    """All lengths in millimetres.

    press_mm: what a hole or slot that shall hold is too small.
    slack_mm: what a hole in which a shaft turns is too wide.

    module_width_mm, module_hole_mm, gap_mm and beam_mm replace those of the usual sensor module.
    The hole is measured from what the sensor looks at, a fork's beam from its circuit board.

    Raises InputError with every fault at once.
    """

    slots: int
    disc_mm: float
    shaft_mm: float
    thickness_mm: float = 3.0
    press_mm: float = 0.1
    slack_mm: float = 0.2
    sensor: SensorKind = SensorKind.FORK
    board: str = "nano"
    rim_mm: float = 2.0
    slot_length_mm: float = 6.0
    magnet_mm: float = 5.0
    peg_mm: float = 2.0
    tyre_mm: float = 2.0
    module_width_mm: float | None = None
    module_hole_mm: float | None = None
    gap_mm: float | None = None
    beam_mm: float | None = None

    def __post_init__(self) -> None:
        faults = tuple(_faults(self))
        if faults:
            raise all_faults("the parts cannot be made as asked", faults)

    @property
    def module(self) -> SensorModule:
        usual = MODULES[self.sensor]
        return replace(
            usual,
            width_mm=_or(self.module_width_mm, usual.width_mm),
            hole_from_beam_mm=_or(self.module_hole_mm, usual.hole_from_beam_mm),
            gap_mm=_or(self.gap_mm, usual.gap_mm),
            above_board_mm=_or(self.beam_mm, usual.above_board_mm),
        )

    @property
    def board_shape(self) -> BoardShape:
        return BOARDS[self.board]

    @property
    def held_mm(self) -> float:
        """Diameter of a hole that sits tight on the shaft."""
        return self.shaft_mm - self.press_mm

    @property
    def running_mm(self) -> float:
        """Diameter of a hole in which the shaft turns."""
        return self.shaft_mm + self.slack_mm

    @property
    def hub_mm(self) -> float:
        """Diameter of the hub: material for the holes on either side."""
        return self.shaft_mm + 4.0 * HUB_HOLE_MM + 4.0

    def hub_holes(self) -> tuple[Circle, ...]:
        """The holes for the screws that hold hub and disc together."""
        radius_mm = (self.shaft_mm + self.hub_mm) / 4.0
        angles = (2.0 * pi * i / HUB_HOLES for i in range(HUB_HOLES))
        return tuple(Circle(HUB_HOLE_MM, *polar(radius_mm, angle)) for angle in angles)

    def disc(self) -> Disc:
        """The slotted disc, whose hub has the hub's diameter. Raises InputError."""
        return Disc(
            slots=self.slots,
            outer_mm=self.disc_mm,
            bore_mm=self.hub_mm,
            rim_mm=self.rim_mm,
            slot_length_mm=self.slot_length_mm,
            sensor_gap_mm=self.module.width_mm + 1.0,
        )


def _or(given: float | None, usual: float) -> float:
    return usual if given is None else given


def _faults(measures: Measures) -> Iterator[Fault]:
    low, high = SHAFT_MM
    if not low <= measures.shaft_mm <= high:
        yield Fault("shaft_mm", f"{measures.shaft_mm:g}", f"from {low:g} to {high:g}")
    if not 0.5 <= measures.thickness_mm <= 12.0:
        yield Fault("thickness_mm", f"{measures.thickness_mm:g}", "from 0.5 to 12")
    for name in ("press_mm", "slack_mm"):
        value = getattr(measures, name)
        if not 0.0 <= value <= 1.0:
            yield Fault(name, f"{value:g}", "from 0 to 1")
    for name in ("disc_mm", "rim_mm", "slot_length_mm", "magnet_mm", "peg_mm", "tyre_mm"):
        value = getattr(measures, name)
        if not (isfinite(value) and 0.0 < value <= 1000.0):
            yield Fault(name, f"{value:g}", "above 0 and at most 1000")
    for name in ("module_width_mm", "module_hole_mm", "gap_mm", "beam_mm"):
        given = getattr(measures, name)
        if given is not None and not 1.0 <= given <= 60.0:
            yield Fault(name, f"{given:g}", "from 1 to 60")
    if measures.board not in BOARDS:
        yield Fault("board", measures.board, f"one of {', '.join(BOARDS)}")
