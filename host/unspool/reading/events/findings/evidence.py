"""What findings are made from."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.model.outcome import EnergyLedger, Prediction
from unspool.model.params import Params
from unspool.reading.events.match_winding import Account
from unspool.reading.events.oscillation import Tone
from unspool.reading.motion.types import Motion

NOTE, WARNING = "note", "warning"


@dataclass(frozen=True)
class Seen:
    """All that findings are made from; account is None where no law could be fitted,
    tone where none is heard."""

    motion: Motion
    machine: Params
    prediction: Prediction
    account: Account | None
    energy: EnergyLedger
    pitch_m: float
    pulses: int  # edges a turn, as the car file says
    returned: bool
    tone: Tone | None = None
