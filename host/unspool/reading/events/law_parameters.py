"""The parameters of a piecewise law by name, and as the vector that a search varies."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.piecewise_law import PiecewiseLaw
from unspool.reading.events.trace import Trace

Array = NDArray[np.float64]

LAUNCH_S, LAUNCH_SPEED, DRAG, BRAKE = "launch_s", "launch_speed_m_s", "drag_per_m", "brake_m_s"
LINEAR, CATCH, DRIVE = "linear_per_s", "catch", "drive"
STOP_S, STOP_M = "stop_s", "stop_m"


def changepoint_m(i: int) -> str:
    """Distance of changepoint number i."""
    return f"changepoint_m[{i}]"


def changepoint_s(i: int) -> str:
    """Time of changepoint number i."""
    return f"changepoint_s[{i}]"


def acceleration(stretch: int) -> str:
    """The law's acceleration on a stretch, in m/s2; the last stretch is the coast."""
    return f"acceleration_m_s2[{stretch}]"


@dataclass(frozen=True)
class LawParameters:
    """The vector of laws that have as many changepoints as `like` has.

    A run from rest has the launch's time as a parameter, another one its first speed. The catch is
    one if there can be any, and the drive's share if a taper makes it count.
    """

    like: PiecewiseLaw
    from_rest: bool

    @cached_property
    def names(self) -> tuple[str, ...]:
        k = len(self.like.changepoint_m)
        return (
            LAUNCH_S if self.from_rest else LAUNCH_SPEED,
            DRAG,
            LINEAR,
            *([CATCH] if self._catches else []),
            *([DRIVE] if self.like.taper else []),
            *([] if self.like.brake_changepoint is None else [BRAKE]),
            *(changepoint_m(i) for i in range(k)),
            *(acceleration(i) for i in range(k + 1)),
        )

    @property
    def _catches(self) -> bool:
        return len(self.like.changepoint_m) > 1

    def vector(self, law: PiecewiseLaw) -> Array:
        """(q,) in the order of names."""
        first = law.launch_s if self.from_rest else law.launch_speed
        string = [law.catch] if self._catches else []
        string += [law.drive] if self.like.taper else []
        string += [] if law.brake_changepoint is None else [law.brake_speed]
        drags = [law.drag_per_m, law.linear_per_s]
        return np.array([first, *drags, *string, *law.changepoint_m, *law.acceleration])

    def law(self, vector: Array) -> PiecewiseLaw:
        """The law of these numbers (q,); a drag below 0 counts as none."""
        first, drag, linear, *rest = vector.tolist()
        catch = rest.pop(0) if self._catches else self.like.catch
        drive = rest.pop(0) if self.like.taper else self.like.drive
        brake = 0.0 if self.like.brake_changepoint is None else rest.pop(0)
        k = len(self.like.changepoint_m)
        return replace(
            self.like,
            launch_s=first if self.from_rest else self.like.launch_s,
            launch_speed=0.0 if self.from_rest else first,
            drag_per_m=max(drag, 0.0),
            changepoint_m=tuple(rest[:k]),
            acceleration=tuple(rest[k:]),
            brake_speed=brake,
            linear_per_s=linear,
            catch=catch,
            drive=drive,
        )

    @cached_property
    def derived_names(self) -> tuple[str, ...]:
        """What follows from the parameters: when things happened, and where the run ends."""
        k = len(self.like.changepoint_m)
        launch = () if self.from_rest else (LAUNCH_S,)
        return (*launch, *(changepoint_s(i) for i in range(k)), STOP_S, STOP_M)

    def derived(self, law: PiecewiseLaw, trace: Trace) -> Array:
        """(m,) in the order of derived_names."""
        launch = [] if self.from_rest else [law.launch_s]
        return np.array([*launch, *trace.changepoint_s, trace.stop_s, trace.stop_m])
