"""All cases by name, and the small part of them that every test run asks."""

from __future__ import annotations

from functools import cache

from corpus.asked import Asked, Predicted, Watched
from corpus.run_cases import all_runs
from corpus.study_cases import study_cases

WATCHED = ("plain/00", "missing/both_1", "pulses/04_rear", "rise/1", "handled/before_08")


@cache
def cases() -> dict[str, Asked]:
    """Every case; the part of a name before the first slash is its class."""
    runs = all_runs()
    read = {f"reading/{name}": run for name, run in runs.items()}
    seen = {f"live/{name}": Watched(runs[name]) for name in WATCHED}
    return {**read, **_predicted(), **seen, **study_cases()}


def _predicted() -> dict[str, Asked]:
    """A prediction of each car on each track that a run is read with, once."""
    names: dict[Asked, str] = {}
    for name, run in all_runs().items():
        names.setdefault(Predicted(run.said, run.said_track), f"prediction/{name}")
    return {name: asked for asked, name in names.items()}


SMALL = (
    "reading/plain/00",
    "reading/plain/07",
    "reading/perfect/02",
    "reading/pulses/04_rear",
    "reading/slots/sd_0.04_duty_0.1",
    "reading/stamps/epoch",
    "reading/missing/both_1",
    "reading/chatter/stop_12",
    "reading/chatter/bounced_0.05",
    "reading/handled/wound_1",
    "reading/handled/wound_no_direction_1",
    "reading/taper/first_0.8",
    "reading/release/early_0.04",
    "reading/held/0.1_0.97",
    "reading/slip/0.3_rear",
    "reading/sway/tower_0.2",
    "reading/rise/1",
    "reading/dip/2_no_direction",
    "reading/cut/end_0.6",
    "reading/cut/begin_0.2",
    "reading/still/nudge",
    "reading/miswound/all_0.9",
    "reading/miscounted/40_0.02",
    "reading/string/1.1",
    "prediction/plain/00",
    "prediction/taper/first_0.8",
    "live/missing/both_1",
    "calibration/three_1",
    "calibration/two_masses_0",
    "calibration/one_held",
    "learnt/0",
    "slope/both_ways_0",
    "break_away/bounded",
    "plan/farthest_2",
    "plan/reach_1",
    "comparison/winding_0",
    "comparison/in_turns",
    "comparison/one_each",
    "rollout/agrees",
    "rollout/slid",
    "card/dunlin",
    "coasts/few",
    "ramp/three",
    "sensors/right",
)
