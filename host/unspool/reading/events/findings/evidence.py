"""What findings are made from."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.model.outcome import EnergyLedger, Prediction
from unspool.model.params import Params
from unspool.reading.events.match_winding import WindingMatch
from unspool.reading.events.oscillation import Tone
from unspool.reading.motion.types import Motion


@dataclass(frozen=True)
class Evidence:
    """All that findings are made from.

    match: None if no law could be fitted. tone: None if nothing swings.
    """

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
