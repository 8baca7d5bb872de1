"""Closed forms for a stretch of constant forces: mass x dv/dt = net - drag x v^2.

net is the drive force less all resistance that does not depend on the speed, along the travel, in
N; drag is half of air density x drag area in kg/m; mass in kg is all that must be accelerated; u is
the speed squared. In u the equation is linear over the way s, (mass / 2) du/ds = net - drag u,
hence an exponential that becomes a line as drag goes to 0 (White and Korst, SAE 720099, use the
same for coast-downs). The duration has one form for all signs of net, with
w = (v1 - v0) / (net - drag v0 v1) = h / (1 - drag v0 h), h the way's share of it, so that nothing
is lost near the terminal speed, at no drag or at no net force.

Every argument may be a float or an array; arrays broadcast. Accurate while 2 drag s / mass is below
about 20, beyond which the terminal speed is reached to the last digit: split such a stretch.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from unspool.model.special import arc_over, decay_lag, decay_mean, log1p_over

Number = TypeVar("Number", float, NDArray[np.float64])


def speed_squared(s: Number, u0: Number, net: Number, drag: Number, mass: Number) -> Number:
    """u after the way s in m; below 0 where the stretch ends in a standstill before s."""
    return u0 + 2.0 * (net - drag * u0) / mass * s * decay_mean(2.0 * drag * s / mass)


def duration(s: Number, v0: Number, v1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Time in s over the way s in m, entered at v0 and left at v1; v0 and v1 not both 0."""
    h = 2.0 * s * decay_mean(2.0 * drag * s / mass) / (mass * (v0 + v1))
    w = h / (1.0 - drag * v0 * h)
    return mass * w * arc_over(drag * net * w * w)


def way_to_speed(u0: Number, u1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Way in m from u0 to u1, where the forces lead there; u1 = 0 is a standstill.

    net must differ from drag u1: a terminal speed is never reached.
    """
    past = drag * u1 - net
    return mass * (u0 - u1) / (2.0 * past) * log1p_over(drag * (u0 - u1) / past)


def time_to_speed(v0: Number, v1: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Time in s from v0 to v1, where the forces lead there; v1 = 0 is a standstill."""
    w = (v1 - v0) / (net - drag * v0 * v1)
    return mass * w * arc_over(drag * net * w * w)


def drag_work(s: Number, u0: Number, net: Number, drag: Number, mass: Number) -> Number:
    """Energy in J that the air took over the way s: drag x the integral of u."""
    lag = decay_lag(2.0 * drag * s / mass)
    return drag * s * (u0 + 2.0 * (net - drag * u0) / mass * s * lag)
