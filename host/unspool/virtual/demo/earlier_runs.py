"""Runs that the demo's cars made before it starts: invented, like the cars."""

from __future__ import annotations

from unspool.car import load_car, load_track
from unspool.store import Store, Winding
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER
from unspool.virtual.demo.wheel_script import DEMO_IMPERFECTIONS, real_car
from unspool.virtual.truth import run

SOURCE = "the demo's invented past"
FIRST_SEED = 100  # of the earlier runs; those of the live ones are far below
# Car file and turns on each tier. Each car has two windings, and each of them two runs or more.
EARLIER = (
    (DUNLIN, (1.5, 3.0, 4.5)),
    (DUNLIN, (4.0, 1.0, 2.4)),
    (DUNLIN, (1.5, 3.0, 4.5)),
    (DUNLIN, (4.0, 1.0, 2.4)),
    (SANDPIPER, (3.5, 5.3)),
    (SANDPIPER, (1.5, 8.3)),
    (SANDPIPER, (3.5, 5.3)),
    (SANDPIPER, (1.5, 8.3)),
    (SANDPIPER, (3.5, 5.3)),
    (SANDPIPER, (1.5, 8.3)),
)


def add_earlier_runs(store: Store) -> None:
    """Adds the runs that the store does not have yet, with the turns that were counted."""
    if any(row.source == SOURCE for row in store.runs()):
        return
    track = load_track(CORRIDOR)
    for seed, (path, turns) in enumerate(EARLIER, FIRST_SEED):
        car = real_car(load_car(path).wound(turns), seed)
        train = run(car, track, DEMO_IMPERFECTIONS, seed=seed).train
        winding = Winding(sum(turns), tuple(reversed(turns)))
        files = path.read_text("utf-8"), CORRIDOR.read_text("utf-8")
        store.add_import(train, *files, source=SOURCE, winding=winding)
