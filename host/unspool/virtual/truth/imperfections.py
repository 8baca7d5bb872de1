"""Imperfections: everything that a builder's car, disc and sensor do less well than the drawing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Imperfections:
    """Of one run; the default has none.

    Sensor
    `slot_sd`, `duty`: shares of the pitch. `slot_sd` is each edge's own error; `duty` shifts every
    second edge, as tooth and gap of unequal width do.
    `out_of_round`: amplitude of the encoder wheel's radius over its mean.
    `jitter_s`, `tick_s`: noise and resolution of a time stamp.
    `missed`: share of edges that the sensor did not see. `lost`: share that the link dropped; only
    those leave a hole in the numbers.
    `chatter`, `handled`: edges added at the stop and before the launch.
    `clock_error`: how much too fast the board's clock runs, as a share.

    Car
    `catch`: share of the ideal impulse that the string passes on as it catches the weight.
    `early_release_m`: string left on the drum when it lets go.
    `held_m`: how far the car drags on the string after the drum is empty.
    `slip_s`: how long the tyre slides at the start; 0.1 is much. Meanwhile it pushes the car with
    the share `slip_grip` of what the resistance leaves of the drive force.
    `sway_m_s2`, `sway_hz`: a tone that the tower adds to the acceleration; it decays with
    `sway_decay_s`.
    `swing_rad`: how far aside the weight hangs at the launch, on `swing_string_m` of free string.
    """

    slot_sd: float = 0.0
    duty: float = 0.0
    out_of_round: float = 0.0
    jitter_s: float = 0.0
    tick_s: float = 0.0
    missed: float = 0.0
    lost: float = 0.0
    chatter: int = 0
    handled: int = 0
    clock_error: float = 0.0
    catch: float = 1.0
    early_release_m: float = 0.0
    held_m: float = 0.0
    slip_s: float = 0.0
    slip_grip: float = 0.6
    sway_m_s2: float = 0.0
    sway_hz: float = 3.0
    sway_decay_s: float = 4.0
    swing_rad: float = 0.0
    swing_string_m: float = 0.1


PERFECT = Imperfections()
# A hand-cut disc and an ordinary sensor.
USUAL = Imperfections(slot_sd=0.02, jitter_s=50e-6, tick_s=0.5e-6, missed=0.003, clock_error=0.002)
