"""Along the track: a group that is 1 m/s faster is 1 m/s faster everywhere, and how surely."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.compare.compared import ran
from unspool.study.compare import ComparedRun, along, by_size, compare

START, RUN = (3.5, 5.5), (1.5, 8.5)


def _faster(run: ComparedRun, by_m_s: float) -> ComparedRun:
    motion = run.reading.motion
    quick = replace(motion, speed_m_s=motion.speed_m_s + by_m_s)
    return replace(run, reading=replace(run.reading, motion=quick))


def test_the_difference_is_the_second_group_less_the_first() -> None:
    one, other = ran("a", 12.0, START), _faster(ran("b", 12.0, RUN), 1.0)
    (found,) = along(compare([one, other]))
    assert found.apart_m_s == pytest.approx(np.ones(len(found.distance_m)))
    assert found.low_m_s is None
    assert found.distance_m[0] == 0.0
    assert found.distance_m[-1] == pytest.approx(np.max(one.reading.motion.distance_m))


def test_the_interval_is_welchs() -> None:
    """Two each, 0 and 2 against 10 and 12: 10 with a standard error of sqrt(2), 2 degrees."""
    first = [_faster(ran(f"a{by}", 12.0, START), by) for by in (0.0, 2.0)]
    second = [_faster(ran(f"b{by}", 12.0, RUN), by) for by in (10.0, 12.0)]
    (found,) = along(compare([*first, *second]))
    assert found.low_m_s is not None
    assert found.apart_m_s - found.low_m_s == pytest.approx(4.3027 * np.sqrt(2.0), rel=1e-4)


def test_one_group_has_nothing_beside_it() -> None:
    assert along(compare([ran("a", 12.0), ran("b", 13.0)])) == ()


def test_the_largest_difference_comes_first() -> None:
    """Both groups have equal motion, so that only the distance differs."""
    made = compare([ran("a", 12.0, START), ran("b", 20.0, RUN)])
    assert by_size(made, made.differences)[0].quantity.key == "distance_m"


def test_names_are_compared_without_regard_to_case() -> None:
    runs = [ran("a", 12.0, note="New Bearing"), ran("b", 13.0, note="new bearing")]
    made = compare(runs, by="note")
    assert [(group.name, len(group.runs)) for group in made.groups] == [("New Bearing", 2)]
