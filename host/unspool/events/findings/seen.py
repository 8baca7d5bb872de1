"""What findings are made from."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.events.confront import Account
from unspool.events.sway import Tone
from unspool.model.machine import Machine
from unspool.model.outcome import EnergyLedger, Prediction
from unspool.motion.types import Motion

NOTE, WARNING = "note", "warning"


@dataclass(frozen=True)
class Seen:
    """All that findings are made from; account is None where no law could be fitted,
    tone where none is heard."""

    motion: Motion
    machine: Machine
    prediction: Prediction
    account: Account | None
    energy: EnergyLedger
    pitch_m: float
    pulses: int  # edges a turn, as the car file says
    returned: bool
    tone: Tone | None = None
