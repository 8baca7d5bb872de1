"""A contest is recorded and judged while recorder, app and database are killed, in any order.

Whatever is killed is started again, as a person would. At the end no attempt is missing, no result
is another one, and nothing is there twice. On a server, some answers to commits are lost as well.
"""

from __future__ import annotations

import random
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path

from database_server import DatabaseServer, running
from e2e.contest_day import kept
from e2e.contest_day.boards import Boards
from e2e.contest_day.plan import script_of
from hard.hall import Hall, waited
from hard.hard_class import HardClass, Tried
from network import DatabaseNetwork
from unspool.errors import StoreError
from unspool.judging import Organiser, contest_in, events_in
from unspool.store import Place, Server, Store

SPEED = 20.0
CARS = {"Reed": "Sandpiper", "Rushes": "Dunlin"}  # one board each
ATTEMPTS = 2
KILLS = len(CARS) * ATTEMPTS  # of a case: one in each attempt
LATEST_S = 2.5  # after the call; the run is over by then, and taped
RULES = f"attempts = {ATTEMPTS}"


def case(kind: str, rng: random.Random, folder: Path) -> Tried:
    said: list[str] = []
    with ExitStack() as stack:
        place, server = stack.enter_context(_store(kind, folder))
        store = stack.enter_context(Store.open(place))
        made = Organiser.make(store, "Ada", "Cup", RULES)
        entries = [made.enter(*one) for one in CARS.items()]
        boards = stack.enter_context(Boards(folder, len(CARS), SPEED))
        near, wire = stack.enter_context(_way(place, server))
        hall = stack.enter_context(Hall(folder, near, boards.ports, CARS.values(), server))
        for number in range(KILLS):
            victims = rng.choice(hall.victims)
            at_s, pause_s = rng.uniform(0.0, LATEST_S), rng.uniform(0.0, 0.5)
            said.append(f"{' and '.join(victims)} at {at_s:.2f} s")
            if wire:
                wire.lose_commits(rng.randrange(3))
            killer = threading.Timer(at_s, hall.kill, (victims, pause_s))
            killer.start()
            k, attempt = number % len(CARS), number // len(CARS) + 1
            try:
                _attempt(hall, store, boards, k, entries[k], attempt)
            finally:
                killer.join()
        hall.end()
        faults = hall.faults + _after(store, boards, entries)
    return Tried(f"{kind}: {', '.join(said)}", faults)


@contextmanager
def _store(kind: str, folder: Path) -> Iterator[tuple[Place, DatabaseServer | None]]:
    if kind == "file":
        yield folder / "s", None
        return
    with running() as server, server.fresh() as place:
        yield place, server


@contextmanager
def _way(
    place: Place, server: DatabaseServer | None
) -> Iterator[tuple[Place, DatabaseNetwork | None]]:
    """How the programs reach the store; on a server, through a network that loses answers."""
    if not isinstance(place, Server) or server is None:
        yield place, None
        return
    with (
        tempfile.TemporaryDirectory(prefix="unspool-net-") as folder,
        DatabaseNetwork(Path(folder), server.folder) as wire,
    ):
        yield Server(place.url.replace(str(server.folder), folder)), wire


def _attempt(hall: Hall, store: Store, boards: Boards, k: int, entry: int, attempt: int) -> None:
    """Called, let go, recorded and taped, as if nothing was killed."""
    team = list(CARS)[k]
    seen = _asked(lambda: store.contests.revision("1"))
    hall.press(act="next", seen=str(seen))
    called = _asked(lambda: contest_in(store, "1").called)
    assert called == (entry, attempt), f"called {called} in place of {(entry, attempt)}"
    script = script_of(team, attempt)
    boards.play(k, script.edges)
    boards.rested(k)
    true, car = script.truths[0].train, CARS[team]

    def is_saved() -> object:
        hall.tend()
        return _asked(lambda: _holding(store, car, true))

    waited(is_saved, f"the run of {team}, {attempt}")
    seen = _asked(lambda: contest_in(store, "1").entries[entry].attempts[attempt].revision)
    which = {"entry": str(entry), "attempt": str(attempt), "seen": str(seen)}
    hall.press(act="tape", metres=_tape(team, attempt), **which)


def _tape(team: str, attempt: int) -> str:
    return f"{script_of(team, attempt).truths[0].furthest_m:.2f}"


def _holding(store: Store, car: str, true: kept.PulseTrain) -> int:
    """How many runs of the car hold all those edges."""
    return sum(kept.holds(one, true) for one in kept.trains_by_car(store).get(car, []))


def _asked(ask: Callable[[], object]) -> object:
    """The answer, once the database is there."""

    def answer() -> tuple[object] | None:
        try:
            return (ask(),)
        except StoreError:
            return None

    return waited(answer, "the store")[0]


def _after(store: Store, boards: Boards, entries: Sequence[int]) -> list[str]:
    faults = [f"the store's own check: {line}" for line in store.check()]
    played = {k + 1: set(range(count)) for k, count in enumerate(boards.played)}
    seen = kept.edges_in_captures(store)
    faults += [
        f"board {k} lacks {len(e - seen[k])} edges" for k, e in played.items() if e != seen[k]
    ]
    state = contest_in(store, "1")
    for entry, (team, car) in zip(entries, CARS.items(), strict=True):
        runs = kept.trains_by_car(store).get(car, [])
        if len(runs) != ATTEMPTS:
            faults.append(f"{len(runs)} runs of {car} in place of {ATTEMPTS}")
        for attempt in range(1, ATTEMPTS + 1):
            holding = _holding(store, car, script_of(team, attempt).truths[0].train)
            if holding != 1:
                faults.append(f"{holding} runs hold attempt {attempt} of {team}")
            one = state.entries[entry].attempts[attempt]
            if f"{one.tape_m:.2f}" != _tape(team, attempt) or one.doubted or one.penalties:
                faults.append(f"attempt {attempt} of {team} has the result {one}")
    return faults + _twice(store)


def _twice(store: Store) -> list[str]:
    """Runs that were attached twice, attempts that were called twice, and chunks kept twice."""
    faults = []
    events = events_in(store, "1")
    for kind, names in (
        ("run", ("run",)),
        ("run", ("entry", "attempt")),
        ("called", ("entry", "attempt")),
    ):
        noted = [tuple(one.data[name] for name in names) for one in events if one.kind == kind]
        if len(set(noted)) < len(noted):
            faults.append(f"the log has {kind} twice: {noted}")
    for capture in store.captures():
        chunks = [(one.session, one.arrived_s, one.data) for one in store.chunks(capture.id)]
        if len(set(chunks)) < len(chunks):
            faults.append(f"capture {capture.id} has {len(chunks) - len(set(chunks))} chunks twice")
    return faults


CLASSES = tuple(
    HardClass(
        f"killed, {kind}",
        f"a contest on a {kind}, in which {KILLS} times something is killed",
        25,
        short,
        partial(case, kind),
    )
    for kind, short in (("file", 0), ("server", 1))
)
