"""What findings are made from."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi

from unspool.car.measured import measured
from unspool.car.vehicle import Car
from unspool.model.outcome import EnergyLedger, Prediction
from unspool.model.params import Params
from unspool.reading.events.masses import Masses
from unspool.reading.events.match_winding import WindingMatch
from unspool.reading.events.oscillation import Tone
from unspool.reading.motion.types import Motion


@dataclass(frozen=True)
class Evidence:
    """All that findings are made from.

    car: as it was wound. match: None if no law could be fitted. tone: None if nothing swings.
    """

    car: Car
    masses: Masses
    motion: Motion
    machine: Params
    prediction: Prediction
    match: WindingMatch | None
    energy: EnergyLedger
    pitch_m: float
    pulses: int  # edges a turn, as the car file says
    returned: bool
    tone: Tone | None = None
    sensors: int = 2
    launch_hidden: bool = False  # in the slot before the first edge
    launch_sd_m: float = 0.0  # of the launch's place, beyond what the law knows of it

    @property
    def turn_m(self) -> float:
        """What one turn of the drum rolls."""
        return 2.0 * pi * self.car.driven_wheel.radius_m

    @property
    def axles_share(self) -> float:
        """How well the way of the edges' wheel is known in turns of the driven one."""
        if self.car.encoder_wheel.driven:
            return 0.0
        known = measured(self.car)
        return hypot(known.driven_share, known.encoder_share)

    @property
    def string_sd_m(self) -> float:
        """How well the wound string is known against the drop."""
        known = measured(self.car)
        tiers = zip(self.car.drum, known.tier_radius_m, strict=True)
        return hypot(known.drop_m, sum(2.0 * pi * tier.turns * sd for tier, sd in tiers))
