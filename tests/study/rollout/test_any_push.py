"""Whatever edges come: a roll-out with finite numbers, or a sentence that refuses them."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.render.json.rollout import rollout_json
from unspool.render.words.rollout import car_file_lines, push_rows
from unspool.study.rollout import Push, roll_out
from unspool.virtual.demo.scenario import sandpiper

CAR = sandpiper()


@st.composite
def trains(draw: st.DrawFn) -> PulseTrain:
    """Intervals from none to minutes, ways mostly forward, numbers with gaps."""
    steps = st.tuples(
        st.sampled_from([0.0, 1e-6, 1e-3, 0.02, 0.02, 0.02, 0.03, 0.5, 3.0, 90.0]),
        st.sampled_from([1, 1, 1, 1, -1]),
        st.sampled_from([1, 1, 1, 1, 1, 2, 40]),
    )
    drawn = draw(st.lists(steps, max_size=90))
    # Stretches repeated, so that there are turns with a pattern.
    rows = np.array(drawn * draw(st.integers(1, 6)), dtype=float).reshape(-1, 3)
    return PulseTrain(
        np.cumsum(rows[:, 0]), rows[:, 1].astype(np.int8), np.cumsum(rows[:, 2]).astype(np.int64)
    )


@pytest.mark.filterwarnings("error::RuntimeWarning")
@settings(max_examples=120, deadline=None)
@given(
    st.lists(trains(), min_size=1, max_size=4),
    st.floats(-1.0, 210.0),
    st.sampled_from([0.0, 1e-3, 3e-3, 0.05]),
)
def test_any_push(given_trains: list[PulseTrain], length_m: float, tape_sd_m: float) -> None:
    pushes = [Push(str(i), train, length_m) for i, train in enumerate(given_trains)]
    try:
        out = roll_out(pushes, CAR, tape_sd_m)
    except InputError:
        return  # in words of ours; any other error fails the test
    found = out.circumference_m
    assert 0.0 <= found.low < found.value < found.high < np.inf
    json.dumps(rollout_json(out), allow_nan=False)
    assert len(push_rows(out)) == len(pushes)
    assert car_file_lines(out)
