"""Where a car turned round, from edges that do not show their direction.

Up to a turning point T the wheel slows as on a parabola. From it on it gathers speed on another one
about the same instant. It passes the last boundary twice, f of a slot on this side of the turn:

    slots to the turn = f + 1/2 a (T - t)^2,   a before and a after of their own.

A car that just clears a crest slows and gathers speed too, but its boundaries go on: there a cubic
through both sides fits, and this does not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Edges on either side that are asked: few where a swing has no more, or one of them was missed.
SIDES = ((8, 8), (8, 5), (5, 8), (5, 5))
BESIDE, FEWEST = 8, 5  # intervals nearby; edges on a side, one more than the numbers of a turn
FITS = 0.08  # slots rms: four times the usual unevenness of hand-cut slots
CLEARER = 0.6  # of what a passage without a turn leaves
FEEBLER = 1.15  # friction works against both: what brings a car back is weaker than what stopped it
SLOWER = 1.36  # than nearby, three intervals across a turn, and
MUCH_SLOWER = 2.5  # than in the run's fastest tenth: a missed edge at speed is no turn
INSTANTS = 33  # tried for the turn: a thirty-second of the interval apart


def turning_points(time_s: Array) -> list[int]:
    """Numbers of the edges, rising, after which the wheel turned round; time_s: (n,)."""
    if len(time_s) < 2 * FEWEST:
        return []
    found = []
    for k in _slow_places(time_s):
        tries = (_turns(time_s, k, *sides) for sides in SIDES)
        left = min((one for one in tries if one is not None), default=None)
        if left is not None:
            found.append((left, k))
    chosen: list[int] = []
    for _, k in sorted(found):
        if all(abs(k - other) >= FEWEST for other in chosen):
            chosen.append(k)
    return sorted(chosen)


def _slow_places(time_s: Array) -> list[int]:
    """Edges beside the slowest three intervals in a row, and their neighbours."""
    three = time_s[3:] - time_s[:-3]
    padded = np.pad(three, BESIDE // 2, mode="edge")
    near = np.lib.stride_tricks.sliding_window_view(padded, BESIDE + 1)
    slow = (three >= near.max(axis=1)) & (three > SLOWER * np.median(near, axis=1))
    slow &= three > MUCH_SLOWER * np.percentile(three, 10)
    places = {int(i) + step for i in np.flatnonzero(slow) for step in range(4)}
    return sorted(k for k in places if FEWEST - 1 <= k < len(time_s) - FEWEST)


def _turns(time_s: Array, k: int, early_n: int, late_n: int) -> float | None:
    """The rms in slots that a turn between edges k and k + 1 leaves, None if there is none."""
    before, after = time_s[max(k + 1 - early_n, 0) : k + 1], time_s[k + 1 : k + 1 + late_n]
    back = np.concatenate([np.arange(len(before))[::-1], np.arange(len(after))]).astype(np.float64)
    t = np.concatenate([before, after])
    early = np.arange(len(t)) < len(before)
    turn = np.linspace(before[-1], after[0], INSTANTS)[:, None]
    square = 0.5 * ((t - turn) / (t[-1] - t[0])) ** 2
    columns = np.stack([np.broadcast_to(-1.0, square.shape), square * early, square * ~early], 2)
    solution = np.linalg.pinv(columns) @ back
    rest = back - np.einsum("tnk,tk->tn", columns, solution)
    nearest = int(np.argmin(np.einsum("tn,tn->t", rest, rest)))
    left, (reach, stopping, starting) = _rms(rest[nearest], 4), solution[nearest].tolist()
    passage = np.vander((t - t[0]) / (t[-1] - t[0]), 4)
    on = np.arange(len(t), dtype=np.float64)
    clear = left < CLEARER * _rms(on - passage @ np.linalg.lstsq(passage, on)[0], 4)
    sound = 0.0 < starting < FEEBLER * stopping and -0.2 < reach < 1.2
    return left if left < FITS and clear and sound else None


def _rms(left: Array, numbers: int) -> float:
    return float(np.sqrt(left @ left / max(len(left) - numbers, 1)))
