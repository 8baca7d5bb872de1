"""All runs of a car fitted at once: losses, errors of the car file, the floor, and each run's own.

The runs share the losses, the errors of what was measured, and the floor's slopes. All unknowns
have Gaussian priors. Gauss and Newton's steps, damped (Levenberg and Marquardt), find the most
likely set; each run's own part is eliminated from the normal equations (Schur's complement). So the
cost grows with the number of runs, not its cube.

What differs between runs has a wide prior here (joint_run.py), so that a run that went otherwise
does not bend the others. How large such differences are is judged later, by pool.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from unspool.study.calibration.bounded_step import bounded_step, damped
from unspool.study.calibration.car_model import DRIVE, RESISTANCE
from unspool.study.calibration.edge_weights import EdgeWeights
from unspool.study.calibration.joint_run import OWN, JointRun
from unspool.study.calibration.run_summary import RunSummary, summarise
from unspool.study.calibration.shared_prior import SharedPrior
from unspool.study.calibration.types import CONSTANT, DRAG, EFFICIENCY, ROLLING, TERMS, Array
from unspool.study.calibration.way_out import WayOut, ways_out

Progress = Callable[[int, int], None]

LEAST_AREA_M2 = 1e-6  # 1 mm2: with none at all the closed form would lose its digits
STEEPEST = 0.25  # a ramp that no such car climbs; keeps the model's angles sound
_FARTHEST, _MOST_OWN = 6.0, 1.5  # sds, and logarithms of shares: nothing beyond is asked for
_MOST_ROUNDS, _MOST_STEPS = 6, 12
# Half the misfit is about half the number of edges. A step that gains less than this is the last.
_ENOUGH, _SHARE_ENOUGH = 1e-2, 2e-4
_NOISE_SETTLED = 0.02  # share by which a run's noise still moves
_DAMPING, _EASED, _STIFFENED, _STIFFEST = 1e-3, 0.2, 8.0, 1e6


@dataclass(frozen=True)
class JointFit:
    """shared: (s,) losses in the order of TERMS, errors in units of their sd, slopes."""

    shared: Array
    runs: tuple[RunSummary, ...]


@dataclass(frozen=True)
class _State:
    """shared (s,), and for each run its own (o,)."""

    shared: Array
    own: tuple[Array, ...]


@dataclass(frozen=True)
class _Normal:
    """A run's part of the normal equations: half its misfit, blocks and gradients."""

    misfit: float
    shared: Array
    own: Array
    both: Array
    gradient: Array
    own_gradient: Array


def joint_fit(
    runs: Sequence[JointRun], prior: SharedPrior, progress: Progress | None = None
) -> JointFit:
    """The most likely set, and what each run says around it.

    progress: called at each step with the rounds done and all that there may be.
    """
    report = progress or (lambda done, count: None)
    search = _Search(runs, prior)
    state = search.start()
    weights = [EdgeWeights.of_all(run.model) for run in runs]
    for step in range(_MOST_ROUNDS):
        before = [one.noise for one in weights]
        weights = search.weighed(state, weights, step)
        state = search.searched(state, weights, partial(report, step, _MOST_ROUNDS))
        report(step + 1, _MOST_ROUNDS)
        if step > 1 and np.allclose(before, [one.noise for one in weights], rtol=_NOISE_SETTLED):
            break
    weights = search.weighed(state, weights, 1)
    each = zip(runs, state.own, weights, strict=True)
    found = tuple(summarise(run, state.shared, own, one) for run, own, one in each)
    return JointFit(state.shared, found)


@dataclass(frozen=True)
class _Search:
    runs: Sequence[JointRun]
    prior: SharedPrior

    def start(self) -> _State:
        shared, errors = self.prior.start(), np.zeros(self.prior.errors)
        rolling = [
            max(run.forces[RESISTANCE] - shared[CONSTANT], 0.0) / run.weight_n(errors)
            for run in self.runs
        ]
        shared[ROLLING] = np.median(rolling)
        driven = [run.forces[DRIVE] for run in self.runs if not run.drive_open]
        if driven:
            shared[EFFICIENCY] = np.median(driven)
        own = tuple(np.zeros(len(run.own_sd)) for run in self.runs)
        return self._bounded(_State(shared, own))

    def weighed(
        self, state: _State, weights: Sequence[EdgeWeights], step: int
    ) -> list[EdgeWeights]:
        """The edges' weights by their residuals, in the second round without those far off."""
        found = []
        places = [z[None, :] for z in self._unknowns(state)]
        each = zip(self.runs, places, weights, self._ways(places), strict=True)
        for run, z, before, way in each:
            off = run.model.residuals(z, way)[0][0]
            judged = before.rejudged(run.model, off) if step == 1 else before
            # What a floor is rougher than its knots show, all runs meet alike: they count as one.
            counts = len(self.runs) if run.model.car.floor.unknown else 1
            found.append(judged.measured(run.model, off, counts if step else None))
        return found

    def searched(
        self, state: _State, weights: Sequence[EdgeWeights], tick: Callable[[], None]
    ) -> _State:
        """The most likely state at these weights. tick: called before each step."""
        damping, parts = _DAMPING, self._normals(state, weights)
        misfit = self._misfit(state, parts)
        for _ in range(_MOST_STEPS):
            tick()
            tried = self._bounded(self._stepped(state, parts, damping))
            new = self._normals(tried, weights)
            gain = misfit - (after := self._misfit(tried, new))
            last = 0.0 <= gain < _ENOUGH + _SHARE_ENOUGH * misfit
            if gain > 0.0:
                state, parts, misfit, damping = tried, new, after, damping * _EASED
            else:
                damping *= _STIFFENED
            if last or damping > _STIFFEST:
                break
        return state

    def _normals(self, state: _State, weights: Sequence[EdgeWeights]) -> list[_Normal]:
        unknowns = zip(self.runs, self._unknowns(state), strict=True)
        ways = self._ways([run.model.moved(z) for run, z in unknowns])
        each = zip(self.runs, state.own, weights, ways, strict=True)
        return [_normal(run, state.shared, own, one, way) for run, own, one, way in each]

    def _unknowns(self, state: _State) -> list[Array]:
        each = zip(self.runs, state.own, strict=True)
        return [run.unknowns(state.shared, own) for run, own in each]

    def _ways(self, unknowns: Sequence[Array]) -> list[WayOut]:
        """Each run's ways at its (v, count) unknowns: all runs' side by side."""
        each = zip(self.runs, unknowns, strict=True)
        return ways_out([run.model.car.variants(z) for run, z in each])

    def _misfit(self, state: _State, parts: Sequence[_Normal]) -> float:
        z = (state.shared - self.prior.mean) / self.prior.sd
        total = sum(part.misfit for part in parts) + 0.5 * float(z @ self.prior.precision @ z)
        return total if np.isfinite(total) else np.inf

    def _stepped(self, state: _State, parts: Sequence[_Normal], damping: float) -> _State:
        # In units of the prior's sd, where the numbers are of one size.
        sd, matrix = self.prior.sd, self.prior.precision.copy()
        unit = np.outer(sd, sd)
        pull = matrix @ ((self.prior.mean - state.shared) / sd)
        for part in parts:
            held = part.both @ np.linalg.inv(damped(part.own, damping))
            matrix += unit * (part.shared - held @ part.both.T)
            pull += sd * (part.gradient - held @ part.own_gradient)
        low, high = self._room(state.shared)
        step = sd * bounded_step(damped(matrix, damping), pull, low / sd, high / sd)
        own = tuple(
            one + np.linalg.solve(damped(part.own, damping), part.own_gradient - part.both.T @ step)
            for one, part in zip(state.own, parts, strict=True)
        )
        return _State(state.shared + step, own)

    def _room(self, shared: Array) -> tuple[Array, Array]:
        """(s,) how far a step may go down and up."""
        k = len(TERMS)
        low, high = np.full(len(shared), -np.inf), np.full(len(shared), np.inf)
        low[:k], high[:k] = self._lower() - shared[:k], self.prior.terms.upper - shared[:k]
        return low, high

    def _lower(self) -> Array:
        lower = self.prior.terms.lower.copy()
        lower[DRAG] = max(lower[DRAG], LEAST_AREA_M2)
        return lower

    def _bounded(self, state: _State) -> _State:
        """Within what is possible: the model is never asked for a car that pushes itself."""
        shared, k = state.shared.copy(), len(TERMS)
        slopes = k + self.prior.errors
        shared[:k] = np.clip(shared[:k], self._lower(), self.prior.terms.upper)
        shared[k:slopes] = np.clip(shared[k:slopes], -_FARTHEST, _FARTHEST)
        shared[slopes:] = np.clip(shared[slopes:], -STEEPEST, STEEPEST)
        own = []
        for one in state.own:
            inside = np.clip(one, -_FARTHEST, _FARTHEST)
            inside[: len(OWN)] = np.clip(one[: len(OWN)], -_MOST_OWN, _MOST_OWN)
            inside[-1] = one[-1]
            own.append(inside)
        return _State(shared, tuple(own))


def _normal(
    run: JointRun, shared: Array, own: Array, weights: EdgeWeights, ways: WayOut
) -> _Normal:
    value, by_shared, by_own = run.columns(shared, own, ways)
    white = weights.whitened(np.column_stack([value, by_shared, by_own]))
    first = 1 + len(shared)
    r, js, jo = white[:, 0], white[:, 1:first], white[:, first:]
    precision = run.own_sd**-2.0
    return _Normal(
        misfit=0.5 * float(r @ r) + 0.5 * float(np.sum(precision * own * own)),
        shared=js.T @ js,
        own=jo.T @ jo + np.diag(precision),
        both=js.T @ jo,
        gradient=-js.T @ r,
        own_gradient=-jo.T @ r - precision * own,
    )
