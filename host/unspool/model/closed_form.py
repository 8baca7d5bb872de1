"""Closed forms for constant forces: mass x dv/dt = net - drag x v^2.

`net`: drive force less all resistance that does not depend on the speed, along the travel, in N.
`drag`: half of air density x drag area, in kg/m. `mass`: all that must be accelerated, in kg.
`v`: speed in m/s; `u`: its square. `s`: distance from the start of the segment, in m.

In u the equation is linear over s, (mass / 2) du/ds = net - drag u. So u is an exponential in s,
which becomes a line as drag goes to 0 (White and Korst, SAE 720099, use the same for coast-downs).
The duration has one form for all signs of net, with w = (v1 - v0) / (net - drag v0 v1)
= h / (1 - drag v0 h), h the part of s in it. So no digit is lost near the terminal speed, without
drag or without net force.

Every argument is a float or an array; arrays broadcast. Accurate while 2 drag s / mass is below
about 20, where the terminal speed is reached to the last digit: split a longer segment.
"""

from __future__ import annotations

from typing import Any, overload

from unspool.model.number import Flags, Floats, Number
from unspool.model.special import arc_over, decay_lag, decay_mean, log1p_over

# As a share of the net force: a speed nearer to the terminal speed changes by less than the closed
# form can resolve.
_TERMINAL = 1e-12


def speed_squared(s: Number, u0: Number, net: Number, drag: Number, mass: Number) -> Number:
    """u after the distance s; below 0 if the car stops before s."""
    return u0 + 2.0 * (net - drag * u0) / mass * s * decay_mean(2.0 * drag * s / mass)


def duration(s: Number, v0: Number, v1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Time in s over the distance s, entered at v0 and left at v1; v0 and v1 are not both 0."""
    h = 2.0 * s * decay_mean(2.0 * drag * s / mass) / (mass * (v0 + v1))
    w = h / (1.0 - drag * v0 * h)
    return mass * w * arc_over(drag * net * w * w)


def distance_to_speed(u0: Number, u1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Distance in m from u0 to u1, if the forces lead there; u1 = 0 is a standstill.

    net must differ from drag u1: a terminal speed is never reached.
    """
    excess = drag * u1 - net
    return mass * (u0 - u1) / (2.0 * excess) * log1p_over(drag * (u0 - u1) / excess)


def time_to_speed(v0: Number, v1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Time in s from v0 to v1, if the forces lead there; v1 = 0 is a standstill."""
    w = (v1 - v0) / (net - drag * v0 * v1)
    return mass * w * arc_over(drag * net * w * w)


def drag_work(s: Number, u0: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Energy in J that the air took over the distance s: drag x the integral of u."""
    lag = decay_lag(2.0 * drag * s / mass)
    return drag * s * (u0 + 2.0 * (net - drag * u0) / mass * s * lag)


@overload
def at_terminal_speed(v: float, net: float, drag: float) -> bool: ...


@overload
def at_terminal_speed(v: Floats, net: Floats, drag: Floats) -> Flags: ...


def at_terminal_speed(v: Any, net: Any, drag: Any) -> Any:  # both kinds, as overloaded
    """Whether the air takes all of the net force, so that the speed stays as it is."""
    return (net > 0.0) & (abs(net - drag * v * v) <= _TERMINAL * net)
