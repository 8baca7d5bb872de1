"""The course of a true run: legs of one kind of motion each, solved one after the other.

Each leg is an initial value problem that ends at the first of its events; what happens there
decides the next leg. Nothing here is in closed form.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from scipy.integrate import OdeSolution, solve_ivp

from unspool.virtual.truth import physics
from unspool.virtual.truth.drum import Drum, drum_of, wound_tiers
from unspool.virtual.truth.leg_ends import Happening, Pull, Watch, at_rolled, first_of
from unspool.virtual.truth.physics import (
    ANGLE,
    FALL,
    ODD,
    ROLLED,
    SINK,
    SPIN,
    STATES,
    Body,
    Lever,
    Road,
    State,
    V,
    X,
)

LONGEST_LEG_S = 3600.0
LONGEST_STEP_S = 0.25  # so that no event hides between two others in one step
SAME_PLACE_M = 1e-11
# A car that settles in the bottom of a dip swings ever less, without end.
SMALLEST_SWING_M = 1e-6
MOST_LEGS = 500
RTOL, ATOL = 1e-10, 1e-12

Motion = Callable[[float, State], list[float]]


@dataclass
class Course:
    """The run so far; `go` drives it to its end."""

    body: Body
    drum: Drum = field(init=False)
    pull: Pull = Pull.TAUT
    tier: int = 0
    forward: bool = True
    time_s: float = 0.0
    state: State = field(default_factory=lambda: np.zeros(STATES))
    legs: list[OdeSolution] = field(default_factory=list)
    happened: list[Happening] = field(default_factory=list)
    catches_j: float = 0.0
    landing_j: float = 0.0
    left_j: float = 0.0
    held_from_m: float = 0.0
    started: bool = False
    rested_m: float = -np.inf

    def __post_init__(self) -> None:
        self.drum = drum_of(self.body.car)
        self.state[ANGLE] = self.body.spoil.swing_rad

    @property
    def lever(self) -> Lever:
        lever = self.drum.levers[self.tier]
        if self.pull is Pull.HELD:
            return Lever(lever.at(self.drum.empty_m), 0.0, 0.0, sign=-1)
        return lever

    def go(self) -> None:
        slope = self.body.slope(0.0, forward=True)
        force = 0.0
        if self.drum.levers:
            force, _, _ = physics.pull(self.body, self.lever, 0.0, 0.0)
        self.started = force > self.body.hold(slope) + self.body.weight_down(slope)
        if not self.started:
            self.left_j = self.body.car.weight_mass_kg * physics.GRAVITY * self.body.car.drop_m
            return
        self.note("launch")
        if self.body.spoil.slip_s:
            self.pull = Pull.SLIDING
        while len(self.legs) < MOST_LEGS and self._leg():
            pass

    def note(self, kind: str, from_tier: str | None = None, to_tier: str | None = None) -> None:
        place, speed = float(self.state[X]), float(self.state[V])
        self.happened.append(Happening(kind, self.time_s, place, speed, from_tier, to_tier))

    def _leg(self) -> bool:
        """Solves one leg and acts on its end; False when the run is over."""
        due = self._due()
        if due:
            return self._act(due)
        watched = self._watched()
        answer = solve_ivp(
            self._motion(),
            (self.time_s, self.time_s + LONGEST_LEG_S),
            self.state,
            method="DOP853",
            dense_output=True,
            events=list(watched.values()),
            max_step=LONGEST_STEP_S,
            rtol=RTOL,
            atol=ATOL,
        )
        if answer.sol is None or answer.t_events is None or not answer.success:
            raise ArithmeticError(f"the solver gave up: {answer.message}")
        self.legs.append(answer.sol)
        ended = [name for name, times in zip(watched, answer.t_events, strict=True) if len(times)]
        if not ended:
            return False
        self.time_s, name = first_of(answer.sol, watched, ended[0])
        self.state = np.asarray(answer.sol(self.time_s)).copy()
        return self._act(name)

    def _due(self) -> str | None:
        """What is to happen where the car already is: two things can fall on one place."""
        rolled = float(self.state[ROLLED])
        ways = self._ways()
        return next((name for name in ways if rolled >= ways[name] - SAME_PLACE_M), None)

    def _act(self, name: str) -> bool:
        acts: dict[str, Callable[[], bool]] = {
            "landing": self._at_landing,
            "catch": self._at_catch,
            "loose": self._at_loose,
            "regrip": self._at_regrip,
            "gripped": self._at_gripped,
            "tight": self._at_tight,
            "release": self._at_release,
            "peg": self._at_peg,
            "tier_end": self._at_tier_end,
            "level": self._at_level,
            "standstill": self._at_standstill,
        }
        return acts[name]()

    def _motion(self) -> Motion:
        body, lever, road = self.body, self.lever, self._road()
        if self.pull in (Pull.TAUT, Pull.HELD):
            return lambda t, y: physics.taut(body, t, y, road, lever)
        if self.pull is Pull.SLACK:
            return lambda t, y: physics.slack(body, t, y, road)
        if self.pull in (Pull.SLIDING, Pull.REGRIP):
            grip = self._grip(road)
            return lambda t, y: physics.sliding(body, t, y, road, lever, grip)
        return lambda t, y: physics.coasting(body, t, y, road)

    def _road(self) -> Road:
        slope = self.body.slope(float(self.state[X]), self.forward)
        return Road(slope, 1 if self.forward else -1)

    def _grip(self, road: Road) -> float:
        force, _, _ = physics.pull(self.body, self.lever, 0.0, 0.0)
        if self.pull is Pull.REGRIP:
            return 2.0 * force
        needed = self.body.hold(road.slope) + self.body.weight_down(road.slope)
        return needed + self.body.spoil.slip_grip * (force - needed)

    def _watched(self) -> dict[str, Watch]:
        watched: dict[str, Watch] = {}
        drop = self.body.car.drop_m
        if self.pull in (Pull.TAUT, Pull.SLACK):
            watched["landing"] = Watch(lambda _, y: y[FALL] - drop, 1)
        if self.pull is Pull.SLACK:
            # Gone slack just now, the weight is level with the string: rounding must not decide.
            level = max(0.0, self._ahead(0.0, self.state) + SAME_PLACE_M)
            watched["catch"] = Watch(lambda t, y: self._ahead(t, y) - level, 1)
        if self.pull is Pull.TAUT and self.lever.per_m > 0:
            watched["loose"] = Watch(self._tension, -1)
        if self.pull in (Pull.SLIDING, Pull.REGRIP):
            watched |= self._watched_sliding()
        watched |= {name: at_rolled(way) for name, way in self._ways().items()}
        watched["standstill"] = Watch(lambda _, y: y[V], -1 if self.forward else 1)
        watched |= self._watched_level()
        return watched

    def _watched_sliding(self) -> dict[str, Watch]:
        if self.pull is Pull.SLIDING:
            until = self.body.spoil.slip_s
            return {"regrip": Watch(lambda t, _: t - until, 1)}
        return {"gripped": Watch(lambda _, y: y[SPIN] - y[V], -1)}

    def _ways(self) -> dict[str, float]:
        """The wheel's rolled ways in m at which something happens to the string."""
        spoil, drum = self.body.spoil, self.drum
        if self.pull is Pull.DANGLING:
            return {"tight": self.held_from_m}
        if self.pull is Pull.HELD:
            return {"release": self.held_from_m + spoil.held_m}
        if self.pull is Pull.GONE or not self.forward:
            return {}
        if self.tier + 1 < len(drum.ends_m):
            return {"tier_end": drum.ends_m[self.tier]}
        empty = drum.empty_m - spoil.early_release_m / drum.levers[-1].at(drum.empty_m)
        return {"peg" if spoil.held_m else "release": empty}

    def _watched_level(self) -> dict[str, Watch]:
        places, here = self.body.track.distance_m, self.state[X]
        ahead = [p for p in places if (p > here + 1e-9 if self.forward else p < here - 1e-9)]
        if not ahead:
            return {}
        place = min(ahead) if self.forward else max(ahead)
        return {"level": Watch(lambda _, y: y[X] - place, 1 if self.forward else -1)}

    def _ahead(self, _: float, y: State) -> float:
        return float(y[FALL]) - self.drum.paid(self.tier, float(y[ROLLED]))

    def _tension(self, t: float, y: State) -> float:
        return physics.GRAVITY - physics.taut(self.body, t, y, self._road(), self.lever)[SINK]

    def _at_tier_end(self) -> bool:
        if self.pull in (Pull.SLIDING, Pull.REGRIP):
            self._at_gripped()
        names = [tier.name for tier in wound_tiers(self.body.car)]
        self.tier += 1
        self.state[ROLLED] = self.drum.ends_m[self.tier - 1]
        self.note("tier_change", names[self.tier - 1], names[self.tier])
        if self.pull is Pull.TAUT:
            self._catch_or_loose()
        return True

    def _catch_or_loose(self) -> None:
        arm = self.lever.at(float(self.state[ROLLED]))
        if self.state[SINK] >= arm * self.state[SPIN] * (1.0 - 1e-9):
            self._at_catch()
        else:
            self.pull = Pull.SLACK

    def _at_catch(self) -> bool:
        self.pull = Pull.TAUT
        self.state, lost = physics.caught(
            self.body, self.state, self.lever.at(float(self.state[ROLLED]))
        )
        self.catches_j += lost
        return True

    def _at_loose(self) -> bool:
        self.pull = Pull.SLACK
        return True

    def _at_landing(self) -> bool:
        self.state[FALL] = self.body.car.drop_m
        self._drop_weight()
        self.pull = Pull.LANDED
        if float(self.state[ROLLED]) < self.drum.empty_m - SAME_PLACE_M:
            self.note("landing")
        return True

    def _drop_weight(self) -> None:
        self.landing_j += 0.5 * physics.hanging(self.body) * float(self.state[SINK]) ** 2
        self.state[SINK] = 0.0

    def _leave_weight(self) -> None:
        fall_left = self.body.car.drop_m - float(self.state[FALL])
        self.left_j = self.body.car.weight_mass_kg * physics.GRAVITY * fall_left

    def _at_release(self) -> bool:
        if self.pull is not Pull.LANDED:
            self._leave_weight()
            self._drop_weight()
        self.pull = Pull.GONE
        self.note("release")
        return True

    def _at_peg(self) -> bool:
        slack_m = max(self.drum.paid(self.tier, self.drum.empty_m) - float(self.state[FALL]), 0.0)
        self.held_from_m = self.drum.empty_m + slack_m / self.lever.at(self.drum.empty_m)
        if self.pull is Pull.LANDED:
            self.pull = Pull.DANGLING
            return True
        return self._at_tight()

    def _at_tight(self) -> bool:
        self.pull = Pull.HELD
        self.state, lost = physics.caught(self.body, self.state, self.lever.at(0.0))
        self.catches_j += lost
        self.note("held")
        return True

    def _at_regrip(self) -> bool:
        self.pull = Pull.REGRIP
        return True

    def _at_gripped(self) -> bool:
        before = physics.kinetic(self.body, self.state)
        self.state[SPIN] = self.state[V]
        self.state[SINK] = self.lever.at(float(self.state[ROLLED])) * self.state[SPIN]
        self.state[ODD] += before - physics.kinetic(self.body, self.state)
        self.pull = Pull.TAUT
        return True

    def _at_level(self) -> bool:
        places = self.body.track.distance_m
        self.state[X] = min(places, key=lambda place: abs(place - self.state[X]))
        return True

    def _at_standstill(self) -> bool:
        self.state[V] = self.state[SPIN] = 0.0
        if self.pull in (Pull.TAUT, Pull.SLACK, Pull.HELD):
            self._leave_weight()
            self.note("stop")
            return False
        return self._rolls_on()

    def _rolls_on(self) -> bool:
        """Whether the slope takes the car away from a standstill."""
        x = float(self.state[X])
        swing, self.rested_m = abs(x - self.rested_m), x
        if swing < SMALLEST_SWING_M:
            self.note("stop")
            return False
        for forward in (False, True):
            slope = self.body.slope(x, forward)
            along = -self.body.weight_down(slope) * (1.0 if forward else -1.0)
            if along > self.body.hold(slope):
                self._turn(forward)
                return True
        self.note("stop")
        return False

    def _turn(self, forward: bool) -> None:
        if not forward and not any(one.kind == "rollback" for one in self.happened):
            self.note("furthest")
            self.note("rollback")
        self.forward = forward
